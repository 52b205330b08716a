INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (701, x'0198c0de000070008000000000000701', x'0198c0de000070008000000000000007', 'hold-release', 1, 1, 2, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO hold_release (fact_id, answer_fact_id, item, manner, read_back)
VALUES (701, 7, 'exclusion-zone', 'remote', 'by radio');
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, calibration_id, profile_id)
VALUES (702, x'0198c0de000070008000000000000702', x'0198c0de000070008000000000000007', 'same-day-check', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1, 1);
INSERT INTO same_day_check (fact_id, against, reference, range_w, range_typed, read_w, read_typed, expected_w, expected_typed, note)
VALUES (702, 'second-meter', 'power meter DM-2210', 5, '5 W', 4.0, '4.0 W', 4.1, '4.1 W', '');
