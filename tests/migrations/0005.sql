-- An assignment that says all that its paper says, what was built of it, and a survey.

INSERT INTO assignment_revision (id, uuid, act, assignment_id, number, station_name, call_sign, frequency_mhz, frequency_typed, power_w, power_typed, erp_w, erp_typed, height_m, height_typed, polarization, entered_at,
  latitude_deg, latitude_typed, longitude_deg, longitude_typed, datum, bays, bearing_deg, bearing_typed, antenna, licence, licence_expires_on)
VALUES (301, x'0198c0de000070008000000000000301', x'0198c0de000070008000000000000007', 1, 301, 'Tern FM', 'TF1', 98.1, '98.1 MHz', 100, '100 W', 150, '150 W', 40, '40 m', 'vertical', 1930737600,
  51.5, '51.5°', -8.25, '-8.25°', 'wgs-84', 1, 220, '220°', 'one dipole', 'TF-98', '2036-03-01');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, profile_id)
VALUES (301, x'0198c0de000070008000000000000302', x'0198c0de000070008000000000000007', 'as-built', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1);
INSERT INTO as_built (fact_id, height_m, height_typed, height_method, latitude_deg, latitude_typed, longitude_deg, longitude_typed, datum, position_method, accuracy_m, accuracy_typed, polarization, bays, bearing_deg, bearing_typed, north, declination_deg, declination_typed, frequency_mhz, frequency_typed, frequency_method, note)
VALUES (301, 39.8, '39.8 m', 'laser', 51.50001, '51.50001°', -8.25002, '-8.25002°', 'wgs-84', 'averaged', 3, '3 m', 'vertical', 1, 222, '222°', 'magnetic', -2, '-2°', 98.1001, '98.1001 MHz', 'counter', '');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, profile_id)
VALUES (302, x'0198c0de000070008000000000000303', x'0198c0de000070008000000000000007', 'exposure-survey', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1);
INSERT INTO exposure_survey (fact_id, instrument, all_on, note)
VALUES (302, 'field probe 12', 1, '');
INSERT INTO exposure_point (id, fact_id, number, place, area, share_percent, share_typed)
VALUES (1, 302, 1, 'gate', 'public', 2.5, '2.5 %');
