-- Rows in the tables of migration 0004: a snag and its closing.

INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, profile_id)
VALUES (40, x'0198c0de0000700080000000000000b0', x'0198c0de000070008000000000000007', 'snag', 1, 1, 2, 1930737600, 0, 1930737600, 1, 1, 1);
INSERT INTO snag (fact_id, class, text, owner, due_on, item, part_id)
VALUES (40, 'B', 'no label at the top joint', 'Ada Sill', '2031-04-01', 'joints-sealed', 1);
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, profile_id)
VALUES (41, x'0198c0de0000700080000000000000b1', x'0198c0de000070008000000000000007', 'snag-closed', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1);
INSERT INTO snag_closed (fact_id, snag_fact_id, done, done_by, proof)
VALUES (41, 40, 'label fitted', 'Ada Sill', 'seen from the ground with glasses');
