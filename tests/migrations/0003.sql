-- Rows in the tables of migration 0003: one photo of a joint.

INSERT INTO file (id, digest, act, media_type, bytes)
VALUES (1, zeroblob(32), x'0198c0de000070008000000000000007', 'image/jpeg', 2400000);
INSERT INTO picture (file_id, width_px, height_px, orientation, thumbnail, print, print_width_px, print_height_px)
VALUES (1, 4000, 3000, 6, zeroblob(32), zeroblob(32), 1200, 1600);
INSERT INTO fact (id, uuid, act, kind, site_id, job_id, by_person_id, measured_at, measured_offset_min, entered_at, assignment_revision_id, chain_revision_id, profile_id)
VALUES (30, x'0198c0de0000700080000000000000a0', x'0198c0de000070008000000000000007', 'photo', 1, 1, 1, 1930737600, 0, 1930737600, 1, 1, 1);
INSERT INTO photo (fact_id, file_id, caption, item, part_id, stage, about_fact_id)
VALUES (30, 1, 'top joint before covering', 'joints-sealed', 1, 'mast', 7);
