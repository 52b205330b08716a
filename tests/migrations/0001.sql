-- Rows in every table as migration 0001 makes them: one accepted job at one site.
-- They are inserted once, after 0001, and must survive every later migration.

INSERT INTO instance (id, uuid, made_at)
VALUES (1, x'0198c0de000070008000000000000001', 1930737600);
INSERT INTO firm (id, uuid, name)
VALUES (1, x'0198c0de000070008000000000000002', 'Ternfold Masts');
INSERT INTO firm (id, uuid, name)
VALUES (2, x'0198c0de000070008000000000000003', 'Ternfold Radio');
INSERT INTO person (id, uuid, firm_id, login, name, role, password_hash)
VALUES (1, x'0198c0de000070008000000000000004', 1, 'ada', 'Ada Sill', 'contractor', '$argon2id$v=19$m=8,t=1,p=1$c2FsdHNhbHQ$AAAA');
INSERT INTO person (id, uuid, firm_id, login, name, role, password_hash)
VALUES (2, x'0198c0de000070008000000000000005', 2, 'bo', 'Bo Wick', 'manager', '$argon2id$v=19$m=8,t=1,p=1$c2FsdHNhbHQ$AAAA');
INSERT INTO session (token_digest, person_id, made_at, seen_at)
VALUES (zeroblob(32), 1, 1930737600, 1930737600);
INSERT INTO site (id, uuid, code, name, latitude_deg, latitude_typed, longitude_deg, longitude_typed, zone, structure, structure_height_m, structure_height_typed)
VALUES (1, x'0198c0de000070008000000000000006', 'TERN', 'Tern Ridge', 51.5, '51.5', -8.25, '-8.25', 'UTC', 'mast', 45, '45 m');
INSERT INTO site_grant (person_id, site_id, granted_at)
VALUES (1, 1, 1930737600);
INSERT INTO journal (seq, uuid, at, actor, person_id, kind, site_id, request_digest, answer, content, previous, hash)
VALUES (1, x'0198c0de000070008000000000000007', 1930737600, 'person', 1, 'sample recorded', 1, zeroblob(32), '', '{}', zeroblob(32), zeroblob(32));
INSERT INTO profile (id, uuid, act, code, edition, title, content, digest)
VALUES (1, x'0198c0de000070008000000000000008', x'0198c0de000070008000000000000007', 'short', 1, 'Low-power station', 'title = ''x''', zeroblob(32));
INSERT INTO instrument (id, uuid, firm_id, name, serial)
VALUES (1, x'0198c0de000070008000000000000009', 1, 'Directional wattmeter', 'W-17');
INSERT INTO calibration (id, uuid, act, instrument_id, number, certificate, calibrated_on, due_on, accuracy_percent, accuracy_typed, directivity_db, directivity_typed, entered_at)
VALUES (1, x'0198c0de00007000800000000000000a', x'0198c0de000070008000000000000007', 1, 1, 'C-3301', '2031-01-10', '2032-01-10', 5, '5', 25, '25 dB', 1930737600);
INSERT INTO meter_range (id, calibration_id, full_scale_w, full_scale_typed)
VALUES (1, 1, 100, '100 W');
INSERT INTO assignment (id, uuid, act, site_id, number)
VALUES (1, x'0198c0de00007000800000000000000b', x'0198c0de000070008000000000000007', 1, 1);
INSERT INTO assignment_revision (id, uuid, act, assignment_id, number, station_name, call_sign, frequency_mhz, frequency_typed, power_w, power_typed, erp_w, erp_typed, height_m, height_typed, polarization, entered_at)
VALUES (1, x'0198c0de00007000800000000000000c', x'0198c0de000070008000000000000007', 1, 1, 'Tern FM', 'TF1', 98.1, '98.1', 100, '100 W', 150, '150 W', 40, '40 m', 'vertical', 1930737600);
INSERT INTO chain (id, uuid, act, site_id)
VALUES (1, x'0198c0de00007000800000000000000d', x'0198c0de000070008000000000000007', 1);
INSERT INTO chain_assignment (chain_id, assignment_id, act)
VALUES (1, 1, x'0198c0de000070008000000000000007');
INSERT INTO job (id, uuid, act, site_id, number, assignment_id, profile_id, kind, opened_by, opened_at)
VALUES (1, x'0198c0de00007000800000000000000e', x'0198c0de000070008000000000000007', 1, 1, 1, 1, 'new-installation', 1, 1930737600);
INSERT INTO part (id, uuid, act, kind, designation, serial)
VALUES (1, x'0198c0de00007000800000000000000f', x'0198c0de000070008000000000000007', 'feed-line', '1/2 inch foam', 'R-204');
INSERT INTO chain_revision (id, uuid, act, chain_id, number, job_id, note, entered_at)
VALUES (1, x'0198c0de000070008000000000000010', x'0198c0de000070008000000000000007', 1, 1, 1, '', 1930737600);
INSERT INTO chain_part (id, revision_id, position, part_id, spec)
VALUES (1, 1, 1, 1, '{}');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (1, x'0198c0de000070008000000000000011', x'0198c0de000070008000000000000007', 'independence', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO independence (fact_id, class)
VALUES (1, 'independent');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (2, x'0198c0de000070008000000000000012', x'0198c0de000070008000000000000007', 'stand-setup', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO stand_setup (fact_id, stand_height_m, stand_height_typed, nearest_metal_m, nearest_metal_typed, orientation, jumper, jumper_loss_db, jumper_loss_typed, supply_protected, note)
VALUES (2, 3, '3 m', 6, '6 m', 'vertical', 'RG-213, 3 m', 0.2, '0.2 dB', 1, '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (3, x'0198c0de000070008000000000000013', x'0198c0de000070008000000000000007', 'trial', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO trial (fact_id, upper_mm, upper_typed, lower_mm, lower_typed, forward_w, forward_typed, reflected_w, reflected_typed, reflected_below, forward_range_w, reflected_range_w, note)
VALUES (3, 720, '720 mm', 720, '720 mm', 10, '10 W', 0.4, '0.4 W', 0, 10, 1, '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id, supersedes, reason)
VALUES (4, x'0198c0de000070008000000000000014', x'0198c0de000070008000000000000007', 'trial', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1, 3, 'read from the wrong range');
INSERT INTO trial (fact_id, upper_mm, upper_typed, lower_mm, lower_typed, forward_w, forward_typed, reflected_w, reflected_typed, reflected_below, forward_range_w, reflected_range_w, note)
VALUES (4, 720, '720 mm', 720, '720 mm', 10, '10 W', 0.04, '0.04 W', 0, 10, 1, '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (5, x'0198c0de000070008000000000000015', x'0198c0de000070008000000000000007', 'chosen-setting', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO chosen_setting (fact_id, trial_fact_id)
VALUES (5, 4);
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (6, x'0198c0de000070008000000000000016', x'0198c0de000070008000000000000007', 'reading', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO reading (fact_id, occasion, point_position, frequency_mhz, frequency_typed, forward_w, forward_typed, reflected_w, reflected_typed, reflected_below, forward_range_w, reflected_range_w, power_set_w, power_set_typed, power_made_w, power_made_typed, fold_back, temperature_c, temperature_typed, weather, note)
VALUES (6, 'installed', 2, 98.1, '98.1', 95, '95 W', 0.9, '0.9 W', 0, 100, 10, 100, '100 W', 95, '95 W', 0, 14, '14 °C', 'dry', '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (7, x'0198c0de000070008000000000000017', x'0198c0de000070008000000000000007', 'answer', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO answer (fact_id, item, answer, method, note, owner)
VALUES (7, 'exclusion-zone', 'passed', '', '', '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (8, x'0198c0de000070008000000000000018', x'0198c0de000070008000000000000007', 'explanation', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO explanation (fact_id, reading_fact_id, cause, checked)
VALUES (8, 6, 'jumper changed', 'joints opened and remade');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (9, x'0198c0de000070008000000000000019', x'0198c0de000070008000000000000007', 'release', 1, 1, 2, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO release (fact_id, stage, basis, manner, read_back)
VALUES (9, 'stand', zeroblob(32), 'independent', '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (10, x'0198c0de00007000800000000000001a', x'0198c0de000070008000000000000007', 'declaration', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO declaration (fact_id, basis, statement)
VALUES (10, zeroblob(32), 'complete');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (11, x'0198c0de00007000800000000000001b', x'0198c0de000070008000000000000007', 'acceptance', 1, 1, 2, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO decision (fact_id, remarks)
VALUES (11, '');
INSERT INTO dossier (id, uuid, act, job_id, edition, content, digest, made_at)
VALUES (1, x'0198c0de00007000800000000000001c', x'0198c0de000070008000000000000007', 1, 'A', '{}', zeroblob(32), 1930737600);
