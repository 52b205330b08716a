-- Snags: defects to be put right, and their closing. Both are facts: a snag that was closed stays.

INSERT INTO fact_kind (word) VALUES ('snag'), ('snag-closed');

CREATE TABLE snag (
  fact_id INTEGER PRIMARY KEY CONSTRAINT snag_has_fact REFERENCES fact (id),
  class TEXT NOT NULL CONSTRAINT snag_class_known CHECK (class IN ('A', 'B', 'C')),
  text TEXT NOT NULL CONSTRAINT snag_text_filled CHECK (length(trim(text)) > 0),
  owner TEXT NOT NULL,
  due_on TEXT,
  item TEXT CONSTRAINT snag_item_filled CHECK (length(item) > 0),
  part_id INTEGER CONSTRAINT snag_has_part REFERENCES part (id)
) STRICT;

CREATE TABLE snag_closed (
  fact_id INTEGER PRIMARY KEY CONSTRAINT snag_closed_has_fact REFERENCES fact (id),
  snag_fact_id INTEGER NOT NULL CONSTRAINT snag_closed_has_snag REFERENCES snag (fact_id),
  done TEXT NOT NULL CONSTRAINT snag_closed_done_filled CHECK (length(trim(done)) > 0),
  done_by TEXT NOT NULL,
  proof TEXT NOT NULL
) STRICT;

CREATE INDEX snag_closed_by_snag ON snag_closed (snag_fact_id);
CREATE INDEX photo_by_about ON photo (about_fact_id);

CREATE TRIGGER snag_is_not_changed BEFORE UPDATE ON snag BEGIN SELECT RAISE(ABORT, 'snag is insert-only'); END;
CREATE TRIGGER snag_is_not_removed BEFORE DELETE ON snag BEGIN SELECT RAISE(ABORT, 'snag is insert-only'); END;
CREATE TRIGGER snag_closed_is_not_changed BEFORE UPDATE ON snag_closed BEGIN SELECT RAISE(ABORT, 'snag_closed is insert-only'); END;
CREATE TRIGGER snag_closed_is_not_removed BEFORE DELETE ON snag_closed BEGIN SELECT RAISE(ABORT, 'snag_closed is insert-only'); END;
