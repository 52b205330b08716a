-- Kinds of fact become rows, so that a new kind is an INSERT in the migration that brings its table.
--
-- SQLite cannot change a CHECK of a standing table: `fact` is written anew with the same rows. The
-- references to it are looked at again at commit, when every row is back under its number.

PRAGMA defer_foreign_keys = ON;

CREATE TABLE fact_kind (
  word TEXT PRIMARY KEY CONSTRAINT fact_kind_filled CHECK (length(word) > 0)
) STRICT;
CREATE TRIGGER fact_kind_is_not_changed BEFORE UPDATE ON fact_kind BEGIN SELECT RAISE(ABORT, 'fact_kind is insert-only'); END;
CREATE TRIGGER fact_kind_is_not_removed BEFORE DELETE ON fact_kind BEGIN SELECT RAISE(ABORT, 'fact_kind is insert-only'); END;
INSERT INTO fact_kind (word) VALUES
  ('independence'), ('stand-setup'), ('trial'), ('chosen-setting'), ('reading'), ('answer'), ('explanation'), ('release'), ('declaration'), ('return'), ('acceptance'), ('withdrawal');

CREATE TEMPORARY TABLE fact_before AS SELECT * FROM fact;
DROP TABLE fact;

CREATE TABLE fact (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT fact_uuid_once UNIQUE CONSTRAINT fact_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT fact_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL CONSTRAINT fact_kind_known REFERENCES fact_kind (word),
  site_id INTEGER NOT NULL CONSTRAINT fact_has_site REFERENCES site (id),
  job_id INTEGER CONSTRAINT fact_has_job REFERENCES job (id),
  by_person_id INTEGER CONSTRAINT fact_has_person REFERENCES person (id),
  measured_at INTEGER NOT NULL,
  measured_offset_min INTEGER NOT NULL CONSTRAINT fact_offset_in_range CHECK (measured_offset_min BETWEEN -1080 AND 1080),
  device_at INTEGER,
  entered_at INTEGER NOT NULL,
  assignment_revision_id INTEGER CONSTRAINT fact_pins_assignment REFERENCES assignment_revision (id),
  chain_revision_id INTEGER CONSTRAINT fact_pins_chain REFERENCES chain_revision (id),
  calibration_id INTEGER CONSTRAINT fact_pins_calibration REFERENCES calibration (id),
  profile_id INTEGER CONSTRAINT fact_pins_profile REFERENCES profile (id),
  supersedes INTEGER CONSTRAINT fact_superseded_once UNIQUE CONSTRAINT fact_supersedes_fact REFERENCES fact (id),
  reason TEXT,
  CONSTRAINT fact_not_future CHECK (measured_at <= entered_at + 300),
  CONSTRAINT fact_correction_reasoned CHECK ((supersedes IS NULL) = (reason IS NULL) AND (reason IS NULL OR length(trim(reason)) > 0)),
  CONSTRAINT fact_withdrawal_supersedes CHECK (kind <> 'withdrawal' OR supersedes IS NOT NULL)
) STRICT;

INSERT INTO fact SELECT * FROM fact_before ORDER BY id;
DROP TABLE fact_before;

CREATE INDEX fact_by_job ON fact (job_id, kind);
CREATE INDEX fact_by_site ON fact (site_id, measured_at);

-- A correction stays within its job and its kind; a withdrawal may strike any fact of its job.
CREATE TRIGGER fact_correction_fits BEFORE INSERT ON fact
WHEN NEW.supersedes IS NOT NULL AND NOT EXISTS (
  SELECT 1 FROM fact old
  WHERE old.id = NEW.supersedes AND old.site_id = NEW.site_id AND old.job_id IS NEW.job_id
    AND old.kind <> 'withdrawal' AND (old.kind = NEW.kind OR NEW.kind = 'withdrawal')
)
BEGIN SELECT RAISE(ABORT, 'fact_correction_fits: a correction names a fact of the same job and kind'); END;

-- Whoever may see a site may see its jobs; a fact cannot cross to another site's job.
CREATE TRIGGER fact_site_fits BEFORE INSERT ON fact
WHEN NEW.job_id IS NOT NULL AND NOT EXISTS (SELECT 1 FROM job WHERE job.id = NEW.job_id AND job.site_id = NEW.site_id)
BEGIN SELECT RAISE(ABORT, 'fact_site_fits: the job belongs to another site'); END;

CREATE TRIGGER fact_is_not_changed BEFORE UPDATE ON fact BEGIN SELECT RAISE(ABORT, 'fact is insert-only'); END;
CREATE TRIGGER fact_is_not_removed BEFORE DELETE ON fact BEGIN SELECT RAISE(ABORT, 'fact is insert-only'); END;
