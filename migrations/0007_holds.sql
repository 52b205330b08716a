-- Items that stop the work until somebody releases them, meters checked on the day of their readings, and the
-- condition of a concession.

INSERT INTO fact_kind (word) VALUES ('hold-release'), ('same-day-check');

ALTER TABLE answer ADD COLUMN condition TEXT NOT NULL DEFAULT '';

CREATE TABLE hold_release (
  fact_id INTEGER PRIMARY KEY CONSTRAINT hold_release_has_fact REFERENCES fact (id),
  answer_fact_id INTEGER NOT NULL CONSTRAINT hold_release_has_answer REFERENCES answer (fact_id),
  item TEXT NOT NULL,
  manner TEXT NOT NULL CONSTRAINT hold_release_manner_known CHECK (manner IN ('independent', 'remote', 'single-handed')),
  read_back TEXT NOT NULL
) STRICT;

CREATE TABLE same_day_check (
  fact_id INTEGER PRIMARY KEY CONSTRAINT same_day_check_has_fact REFERENCES fact (id),
  against TEXT NOT NULL CONSTRAINT same_day_check_against_known CHECK (against IN ('known-load', 'second-meter')),
  reference TEXT NOT NULL CONSTRAINT same_day_check_reference_filled CHECK (length(trim(reference)) > 0),
  range_w REAL NOT NULL CONSTRAINT same_day_check_range CHECK (range_w > 0 AND range_w <= 1000000),
  range_typed TEXT NOT NULL,
  read_w REAL NOT NULL CONSTRAINT same_day_check_read CHECK (read_w >= 0 AND read_w <= 1000000),
  read_typed TEXT NOT NULL,
  expected_w REAL NOT NULL CONSTRAINT same_day_check_expected CHECK (expected_w >= 0 AND expected_w <= 1000000),
  expected_typed TEXT NOT NULL,
  note TEXT NOT NULL
) STRICT;

CREATE TRIGGER hold_release_is_not_changed BEFORE UPDATE ON hold_release BEGIN SELECT RAISE(ABORT, 'hold_release is insert-only'); END;
CREATE TRIGGER hold_release_is_not_removed BEFORE DELETE ON hold_release BEGIN SELECT RAISE(ABORT, 'hold_release is insert-only'); END;
CREATE TRIGGER same_day_check_is_not_changed BEFORE UPDATE ON same_day_check BEGIN SELECT RAISE(ABORT, 'same_day_check is insert-only'); END;
CREATE TRIGGER same_day_check_is_not_removed BEFORE DELETE ON same_day_check BEGIN SELECT RAISE(ABORT, 'same_day_check is insert-only'); END;
