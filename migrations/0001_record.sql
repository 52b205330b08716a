-- The record's first schema.
--
-- Facts, revisions, the journal, profiles and dossiers are insert-only: the triggers at the end refuse
-- every change. A row of these tables names the act that wrote it (`act`), which is an entry of the
-- journal; the reference is checked at commit, so that no row can stand without its entry.
-- A quantity that a person typed stands twice: the SI value to reckon with, and the text as typed with
-- its unit (`_typed`), which keeps the meter's resolution. Instants are whole seconds since 1970 UTC.

CREATE TABLE instance (
  id INTEGER PRIMARY KEY CONSTRAINT one_instance CHECK (id = 1),
  uuid BLOB NOT NULL CONSTRAINT instance_uuid_once UNIQUE CONSTRAINT instance_uuid_whole CHECK (length(uuid) = 16),
  made_at INTEGER NOT NULL
) STRICT;

CREATE TABLE firm (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT firm_uuid_once UNIQUE CONSTRAINT firm_uuid_whole CHECK (length(uuid) = 16),
  name TEXT NOT NULL COLLATE NOCASE CONSTRAINT firm_name_taken UNIQUE CONSTRAINT firm_name_filled CHECK (length(trim(name)) > 0)
) STRICT;

CREATE TABLE person (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT person_uuid_once UNIQUE CONSTRAINT person_uuid_whole CHECK (length(uuid) = 16),
  firm_id INTEGER NOT NULL CONSTRAINT person_has_firm REFERENCES firm (id),
  login TEXT NOT NULL COLLATE NOCASE CONSTRAINT person_login_taken UNIQUE CONSTRAINT person_login_filled CHECK (length(login) BETWEEN 2 AND 60),
  name TEXT NOT NULL CONSTRAINT person_name_filled CHECK (length(trim(name)) > 0),
  role TEXT NOT NULL CONSTRAINT person_role_known CHECK (role IN ('contractor', 'engineer', 'manager', 'reader')),
  password_hash TEXT NOT NULL,
  disabled INTEGER NOT NULL DEFAULT 0 CONSTRAINT person_disabled_flag CHECK (disabled IN (0, 1)),
  version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE session (
  token_digest BLOB PRIMARY KEY CONSTRAINT session_digest_whole CHECK (length(token_digest) = 32),
  person_id INTEGER NOT NULL CONSTRAINT session_has_person REFERENCES person (id),
  made_at INTEGER NOT NULL,
  seen_at INTEGER NOT NULL
) STRICT;

CREATE TABLE site (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT site_uuid_once UNIQUE CONSTRAINT site_uuid_whole CHECK (length(uuid) = 16),
  code TEXT NOT NULL COLLATE NOCASE CONSTRAINT site_code_taken UNIQUE CONSTRAINT site_code_filled CHECK (length(code) BETWEEN 2 AND 24),
  name TEXT NOT NULL CONSTRAINT site_name_filled CHECK (length(trim(name)) > 0),
  latitude_deg REAL NOT NULL CONSTRAINT latitude_deg_in_range CHECK (latitude_deg >= -90 AND latitude_deg <= 90),
  latitude_typed TEXT NOT NULL,
  longitude_deg REAL NOT NULL CONSTRAINT longitude_deg_in_range CHECK (longitude_deg >= -180 AND longitude_deg <= 180),
  longitude_typed TEXT NOT NULL,
  zone TEXT NOT NULL,
  structure TEXT NOT NULL CONSTRAINT site_structure_known CHECK (structure IN ('mast', 'tower', 'pole', 'roof')),
  structure_height_m REAL NOT NULL CONSTRAINT structure_height_m_in_range CHECK (structure_height_m >= 0 AND structure_height_m <= 1000),
  structure_height_typed TEXT NOT NULL,
  notes TEXT NOT NULL DEFAULT '',
  version INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE site_grant (
  person_id INTEGER NOT NULL CONSTRAINT grant_has_person REFERENCES person (id),
  site_id INTEGER NOT NULL CONSTRAINT grant_has_site REFERENCES site (id),
  granted_at INTEGER NOT NULL,
  expires_at INTEGER,
  CONSTRAINT site_granted_once PRIMARY KEY (person_id, site_id)
) STRICT;

CREATE TABLE journal (
  seq INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT journal_uuid_once UNIQUE CONSTRAINT journal_uuid_whole CHECK (length(uuid) = 16),
  at INTEGER NOT NULL,
  actor TEXT NOT NULL CONSTRAINT journal_actor_known CHECK (actor IN ('person', 'operator', 'system')),
  person_id INTEGER CONSTRAINT journal_has_person REFERENCES person (id),
  kind TEXT NOT NULL,
  site_id INTEGER CONSTRAINT journal_has_site REFERENCES site (id),
  request_digest BLOB NOT NULL CONSTRAINT journal_request_whole CHECK (length(request_digest) = 32),
  answer TEXT NOT NULL,
  content TEXT NOT NULL CONSTRAINT journal_content_json CHECK (json_valid(content)),
  previous BLOB NOT NULL CONSTRAINT journal_previous_whole CHECK (length(previous) = 32),
  hash BLOB NOT NULL CONSTRAINT journal_hash_once UNIQUE CONSTRAINT journal_hash_whole CHECK (length(hash) = 32),
  CONSTRAINT journal_person_acts CHECK ((actor = 'person') = (person_id IS NOT NULL))
) STRICT;

CREATE TABLE profile (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT profile_uuid_once UNIQUE CONSTRAINT profile_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT profile_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  code TEXT NOT NULL,
  edition INTEGER NOT NULL,
  title TEXT NOT NULL,
  content TEXT NOT NULL,
  digest BLOB NOT NULL CONSTRAINT profile_digest_once UNIQUE CONSTRAINT profile_digest_whole CHECK (length(digest) = 32),
  CONSTRAINT profile_edition_once UNIQUE (code, edition)
) STRICT;

CREATE TABLE instrument (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT instrument_uuid_once UNIQUE CONSTRAINT instrument_uuid_whole CHECK (length(uuid) = 16),
  firm_id INTEGER NOT NULL CONSTRAINT instrument_has_firm REFERENCES firm (id),
  name TEXT NOT NULL CONSTRAINT instrument_name_filled CHECK (length(trim(name)) > 0),
  serial TEXT NOT NULL CONSTRAINT instrument_serial_filled CHECK (length(trim(serial)) > 0),
  retired INTEGER NOT NULL DEFAULT 0 CONSTRAINT instrument_retired_flag CHECK (retired IN (0, 1)),
  version INTEGER NOT NULL DEFAULT 1,
  CONSTRAINT instrument_serial_taken UNIQUE (firm_id, serial)
) STRICT;

CREATE TABLE calibration (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT calibration_uuid_once UNIQUE CONSTRAINT calibration_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT calibration_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  instrument_id INTEGER NOT NULL CONSTRAINT calibration_has_instrument REFERENCES instrument (id),
  number INTEGER NOT NULL,
  certificate TEXT NOT NULL,
  calibrated_on TEXT,
  due_on TEXT,
  accuracy_percent REAL NOT NULL CONSTRAINT accuracy_percent_in_range CHECK (accuracy_percent >= 0 AND accuracy_percent <= 100),
  accuracy_typed TEXT NOT NULL,
  directivity_db REAL CONSTRAINT directivity_db_in_range CHECK (directivity_db >= 0 AND directivity_db <= 80),
  directivity_typed TEXT,
  entered_at INTEGER NOT NULL,
  CONSTRAINT calibration_number_once UNIQUE (instrument_id, number),
  CONSTRAINT calibration_due_after CHECK (due_on IS NULL OR (calibrated_on IS NOT NULL AND due_on >= calibrated_on))
) STRICT;

CREATE TABLE meter_range (
  id INTEGER PRIMARY KEY,
  calibration_id INTEGER NOT NULL CONSTRAINT range_has_calibration REFERENCES calibration (id),
  full_scale_w REAL NOT NULL CONSTRAINT full_scale_w_in_range CHECK (full_scale_w >= 0.001 AND full_scale_w <= 1000000),
  full_scale_typed TEXT NOT NULL,
  CONSTRAINT range_once UNIQUE (calibration_id, full_scale_w)
) STRICT;

CREATE TABLE assignment (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT assignment_uuid_once UNIQUE CONSTRAINT assignment_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT assignment_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  site_id INTEGER NOT NULL CONSTRAINT assignment_has_site REFERENCES site (id),
  number INTEGER NOT NULL,
  CONSTRAINT assignment_number_once UNIQUE (site_id, number)
) STRICT;

CREATE TABLE assignment_revision (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT assignment_revision_uuid_once UNIQUE CONSTRAINT assignment_revision_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT assignment_revision_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  assignment_id INTEGER NOT NULL CONSTRAINT assignment_revision_has_assignment REFERENCES assignment (id),
  number INTEGER NOT NULL,
  station_name TEXT NOT NULL CONSTRAINT station_name_filled CHECK (length(trim(station_name)) > 0),
  call_sign TEXT NOT NULL,
  frequency_mhz REAL NOT NULL CONSTRAINT frequency_mhz_in_range CHECK (frequency_mhz >= 60 AND frequency_mhz <= 120),
  frequency_typed TEXT NOT NULL,
  power_w REAL NOT NULL CONSTRAINT power_w_in_range CHECK (power_w >= 0 AND power_w <= 1000000),
  power_typed TEXT NOT NULL,
  erp_w REAL NOT NULL CONSTRAINT erp_w_in_range CHECK (erp_w >= 0 AND erp_w <= 1000000),
  erp_typed TEXT NOT NULL,
  height_m REAL NOT NULL CONSTRAINT height_m_in_range CHECK (height_m >= 0 AND height_m <= 1000),
  height_typed TEXT NOT NULL,
  polarization TEXT NOT NULL CONSTRAINT polarization_known CHECK (polarization IN ('vertical', 'horizontal', 'circular', 'mixed')),
  entered_at INTEGER NOT NULL,
  CONSTRAINT assignment_revision_once UNIQUE (assignment_id, number)
) STRICT;

CREATE TABLE chain (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT chain_uuid_once UNIQUE CONSTRAINT chain_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT chain_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  site_id INTEGER NOT NULL CONSTRAINT chain_has_site REFERENCES site (id)
) STRICT;

CREATE TABLE chain_assignment (
  chain_id INTEGER NOT NULL CONSTRAINT chain_assignment_has_chain REFERENCES chain (id),
  assignment_id INTEGER NOT NULL CONSTRAINT chain_assignment_has_assignment REFERENCES assignment (id),
  act BLOB NOT NULL CONSTRAINT chain_assignment_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  CONSTRAINT chain_assigned_once PRIMARY KEY (chain_id, assignment_id)
) STRICT;

CREATE TABLE job (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT job_uuid_once UNIQUE CONSTRAINT job_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT job_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  site_id INTEGER NOT NULL CONSTRAINT job_has_site REFERENCES site (id),
  number INTEGER NOT NULL,
  assignment_id INTEGER NOT NULL CONSTRAINT job_has_assignment REFERENCES assignment (id),
  profile_id INTEGER NOT NULL CONSTRAINT job_has_profile REFERENCES profile (id),
  kind TEXT NOT NULL CONSTRAINT job_kind_known CHECK (kind IN ('new-installation', 'antenna-replaced', 'feed-line-replaced', 'transmitter-replaced', 'frequency-change', 'power-change', 'storm-repair')),
  opened_by INTEGER CONSTRAINT job_has_opener REFERENCES person (id),
  opened_at INTEGER NOT NULL,
  CONSTRAINT job_number_once UNIQUE (site_id, number)
) STRICT;

CREATE TABLE part (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT part_uuid_once UNIQUE CONSTRAINT part_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT part_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL,
  designation TEXT NOT NULL CONSTRAINT part_designation_filled CHECK (length(trim(designation)) > 0),
  serial TEXT NOT NULL
) STRICT;

CREATE TABLE chain_revision (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT chain_revision_uuid_once UNIQUE CONSTRAINT chain_revision_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT chain_revision_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  chain_id INTEGER NOT NULL CONSTRAINT chain_revision_has_chain REFERENCES chain (id),
  number INTEGER NOT NULL,
  job_id INTEGER CONSTRAINT chain_revision_has_job REFERENCES job (id),
  note TEXT NOT NULL,
  entered_at INTEGER NOT NULL,
  CONSTRAINT chain_revision_once UNIQUE (chain_id, number)
) STRICT;

CREATE TABLE chain_part (
  id INTEGER PRIMARY KEY,
  revision_id INTEGER NOT NULL CONSTRAINT chain_part_has_revision REFERENCES chain_revision (id),
  position INTEGER NOT NULL,
  part_id INTEGER NOT NULL CONSTRAINT chain_part_has_part REFERENCES part (id),
  spec TEXT NOT NULL CONSTRAINT chain_part_spec_json CHECK (json_valid(spec)),
  CONSTRAINT chain_position_once UNIQUE (revision_id, position)
) STRICT;

CREATE TABLE fact (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT fact_uuid_once UNIQUE CONSTRAINT fact_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT fact_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL CONSTRAINT fact_kind_known CHECK (kind IN ('independence', 'stand-setup', 'trial', 'chosen-setting', 'reading', 'answer', 'explanation', 'release', 'declaration', 'return', 'acceptance', 'withdrawal')),
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

CREATE TABLE independence (
  fact_id INTEGER PRIMARY KEY CONSTRAINT independence_has_fact REFERENCES fact (id),
  class TEXT NOT NULL CONSTRAINT independence_known CHECK (class IN ('independent', 'remote', 'single-handed'))
) STRICT;

CREATE TABLE stand_setup (
  fact_id INTEGER PRIMARY KEY CONSTRAINT stand_setup_has_fact REFERENCES fact (id),
  stand_height_m REAL NOT NULL CONSTRAINT stand_height_m_in_range CHECK (stand_height_m >= 0 AND stand_height_m <= 100),
  stand_height_typed TEXT NOT NULL,
  nearest_metal_m REAL NOT NULL CONSTRAINT nearest_metal_m_in_range CHECK (nearest_metal_m >= 0 AND nearest_metal_m <= 1000),
  nearest_metal_typed TEXT NOT NULL,
  orientation TEXT NOT NULL CONSTRAINT stand_orientation_known CHECK (orientation IN ('vertical', 'horizontal')),
  jumper TEXT NOT NULL,
  jumper_loss_db REAL NOT NULL CONSTRAINT jumper_loss_db_in_range CHECK (jumper_loss_db >= 0 AND jumper_loss_db <= 20),
  jumper_loss_typed TEXT NOT NULL,
  supply_protected INTEGER NOT NULL CONSTRAINT stand_supply_flag CHECK (supply_protected IN (0, 1)),
  note TEXT NOT NULL
) STRICT;

CREATE TABLE trial (
  fact_id INTEGER PRIMARY KEY CONSTRAINT trial_has_fact REFERENCES fact (id),
  upper_mm REAL NOT NULL CONSTRAINT upper_mm_in_range CHECK (upper_mm >= 0 AND upper_mm <= 10000),
  upper_typed TEXT NOT NULL,
  lower_mm REAL NOT NULL CONSTRAINT lower_mm_in_range CHECK (lower_mm >= 0 AND lower_mm <= 10000),
  lower_typed TEXT NOT NULL,
  forward_w REAL NOT NULL CONSTRAINT forward_w_in_range CHECK (forward_w >= 0 AND forward_w <= 1000000),
  forward_typed TEXT NOT NULL,
  reflected_w REAL NOT NULL CONSTRAINT reflected_w_in_range CHECK (reflected_w >= 0 AND reflected_w <= 1000000),
  reflected_typed TEXT NOT NULL,
  reflected_below INTEGER NOT NULL CONSTRAINT trial_below_flag CHECK (reflected_below IN (0, 1)),
  forward_range_w REAL NOT NULL CONSTRAINT trial_forward_range CHECK (forward_range_w > 0),
  reflected_range_w REAL NOT NULL CONSTRAINT trial_reflected_range CHECK (reflected_range_w > 0),
  note TEXT NOT NULL,
  CONSTRAINT trial_reflected_within_forward CHECK (reflected_w <= forward_w)
) STRICT;

CREATE TABLE chosen_setting (
  fact_id INTEGER PRIMARY KEY CONSTRAINT chosen_setting_has_fact REFERENCES fact (id),
  trial_fact_id INTEGER NOT NULL CONSTRAINT chosen_has_trial REFERENCES trial (fact_id)
) STRICT;

CREATE TABLE reading (
  fact_id INTEGER PRIMARY KEY CONSTRAINT reading_has_fact REFERENCES fact (id),
  occasion TEXT NOT NULL CONSTRAINT reading_occasion_known CHECK (occasion IN ('installed', 'routine')),
  point_position INTEGER NOT NULL,
  frequency_mhz REAL NOT NULL CONSTRAINT frequency_mhz_in_range CHECK (frequency_mhz >= 60 AND frequency_mhz <= 120),
  frequency_typed TEXT NOT NULL,
  forward_w REAL NOT NULL CONSTRAINT forward_w_in_range CHECK (forward_w >= 0 AND forward_w <= 1000000),
  forward_typed TEXT NOT NULL,
  reflected_w REAL NOT NULL CONSTRAINT reflected_w_in_range CHECK (reflected_w >= 0 AND reflected_w <= 1000000),
  reflected_typed TEXT NOT NULL,
  reflected_below INTEGER NOT NULL CONSTRAINT reading_below_flag CHECK (reflected_below IN (0, 1)),
  forward_range_w REAL NOT NULL CONSTRAINT reading_forward_range CHECK (forward_range_w > 0),
  reflected_range_w REAL NOT NULL CONSTRAINT reading_reflected_range CHECK (reflected_range_w > 0),
  power_set_w REAL CONSTRAINT power_set_w_in_range CHECK (power_set_w >= 0 AND power_set_w <= 1000000),
  power_set_typed TEXT,
  power_made_w REAL CONSTRAINT power_made_w_in_range CHECK (power_made_w >= 0 AND power_made_w <= 1000000),
  power_made_typed TEXT,
  fold_back INTEGER NOT NULL CONSTRAINT reading_fold_back_flag CHECK (fold_back IN (0, 1)),
  temperature_c REAL CONSTRAINT temperature_c_in_range CHECK (temperature_c >= -60 AND temperature_c <= 70),
  temperature_typed TEXT,
  weather TEXT NOT NULL CONSTRAINT reading_weather_known CHECK (weather IN ('dry', 'damp', 'rain', 'snow', 'ice')),
  others_off INTEGER CONSTRAINT reading_others_flag CHECK (others_off IN (0, 1)),
  out_of_sequence TEXT,
  note TEXT NOT NULL,
  CONSTRAINT reading_reflected_within_forward CHECK (reflected_w <= forward_w)
) STRICT;

CREATE TABLE answer (
  fact_id INTEGER PRIMARY KEY CONSTRAINT answer_has_fact REFERENCES fact (id),
  item TEXT NOT NULL,
  answer TEXT NOT NULL CONSTRAINT answer_known CHECK (answer IN ('passed', 'failed', 'not-applicable', 'not-shown', 'under-concession', 'deferred')),
  value REAL,
  value_typed TEXT,
  method TEXT NOT NULL,
  note TEXT NOT NULL,
  owner TEXT NOT NULL,
  due_on TEXT,
  CONSTRAINT answer_value_typed_too CHECK ((value IS NULL) = (value_typed IS NULL)),
  CONSTRAINT answer_deferred_owned CHECK (answer <> 'deferred' OR (length(trim(owner)) > 0 AND due_on IS NOT NULL)),
  CONSTRAINT answer_reasoned CHECK (answer NOT IN ('not-applicable', 'under-concession', 'failed') OR length(trim(note)) > 0)
) STRICT;

CREATE TABLE explanation (
  fact_id INTEGER PRIMARY KEY CONSTRAINT explanation_has_fact REFERENCES fact (id),
  reading_fact_id INTEGER NOT NULL CONSTRAINT explanation_has_reading REFERENCES reading (fact_id),
  cause TEXT NOT NULL CONSTRAINT explanation_cause_filled CHECK (length(trim(cause)) > 0),
  checked TEXT NOT NULL CONSTRAINT explanation_checked_filled CHECK (length(trim(checked)) > 0)
) STRICT;

CREATE TABLE release (
  fact_id INTEGER PRIMARY KEY CONSTRAINT release_has_fact REFERENCES fact (id),
  stage TEXT NOT NULL CONSTRAINT release_stage_known CHECK (stage IN ('authority', 'stand', 'mast', 'cold-tests', 'rf-on', 'hand-over')),
  basis BLOB NOT NULL CONSTRAINT release_basis_whole CHECK (length(basis) = 32),
  manner TEXT NOT NULL CONSTRAINT release_manner_known CHECK (manner IN ('independent', 'remote', 'single-handed')),
  read_back TEXT NOT NULL
) STRICT;

CREATE TABLE declaration (
  fact_id INTEGER PRIMARY KEY CONSTRAINT declaration_has_fact REFERENCES fact (id),
  basis BLOB NOT NULL CONSTRAINT declaration_basis_whole CHECK (length(basis) = 32),
  statement TEXT NOT NULL
) STRICT;

CREATE TABLE decision (
  fact_id INTEGER PRIMARY KEY CONSTRAINT decision_has_fact REFERENCES fact (id),
  remarks TEXT NOT NULL
) STRICT;

CREATE TABLE dossier (
  id INTEGER PRIMARY KEY,
  uuid BLOB NOT NULL CONSTRAINT dossier_uuid_once UNIQUE CONSTRAINT dossier_uuid_whole CHECK (length(uuid) = 16),
  act BLOB NOT NULL CONSTRAINT dossier_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  job_id INTEGER NOT NULL CONSTRAINT dossier_has_job REFERENCES job (id),
  edition TEXT NOT NULL CONSTRAINT dossier_edition_letter CHECK (length(edition) BETWEEN 1 AND 2),
  content TEXT NOT NULL CONSTRAINT dossier_content_json CHECK (json_valid(content)),
  digest BLOB NOT NULL CONSTRAINT dossier_digest_whole CHECK (length(digest) = 32),
  made_at INTEGER NOT NULL,
  CONSTRAINT dossier_edition_once UNIQUE (job_id, edition)
) STRICT;

CREATE INDEX fact_by_job ON fact (job_id, kind);
CREATE INDEX fact_by_site ON fact (site_id, measured_at);
CREATE INDEX journal_by_site ON journal (site_id, seq);
CREATE INDEX journal_by_person ON journal (person_id, seq);
CREATE INDEX session_by_person ON session (person_id);
CREATE INDEX chain_part_by_part ON chain_part (part_id);
CREATE INDEX chain_by_assignment ON chain_assignment (assignment_id);

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

-- Kept for ever: no row of these tables changes or goes.
CREATE TRIGGER instance_is_not_changed BEFORE UPDATE ON instance BEGIN SELECT RAISE(ABORT, 'instance is insert-only'); END;
CREATE TRIGGER instance_is_not_removed BEFORE DELETE ON instance BEGIN SELECT RAISE(ABORT, 'instance is insert-only'); END;
CREATE TRIGGER journal_is_not_changed BEFORE UPDATE ON journal BEGIN SELECT RAISE(ABORT, 'journal is insert-only'); END;
CREATE TRIGGER journal_is_not_removed BEFORE DELETE ON journal BEGIN SELECT RAISE(ABORT, 'journal is insert-only'); END;
CREATE TRIGGER profile_is_not_changed BEFORE UPDATE ON profile BEGIN SELECT RAISE(ABORT, 'profile is insert-only'); END;
CREATE TRIGGER profile_is_not_removed BEFORE DELETE ON profile BEGIN SELECT RAISE(ABORT, 'profile is insert-only'); END;
CREATE TRIGGER calibration_is_not_changed BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration is insert-only'); END;
CREATE TRIGGER calibration_is_not_removed BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration is insert-only'); END;
CREATE TRIGGER meter_range_is_not_changed BEFORE UPDATE ON meter_range BEGIN SELECT RAISE(ABORT, 'meter_range is insert-only'); END;
CREATE TRIGGER meter_range_is_not_removed BEFORE DELETE ON meter_range BEGIN SELECT RAISE(ABORT, 'meter_range is insert-only'); END;
CREATE TRIGGER assignment_is_not_changed BEFORE UPDATE ON assignment BEGIN SELECT RAISE(ABORT, 'assignment is insert-only'); END;
CREATE TRIGGER assignment_is_not_removed BEFORE DELETE ON assignment BEGIN SELECT RAISE(ABORT, 'assignment is insert-only'); END;
CREATE TRIGGER assignment_revision_is_not_changed BEFORE UPDATE ON assignment_revision BEGIN SELECT RAISE(ABORT, 'assignment_revision is insert-only'); END;
CREATE TRIGGER assignment_revision_is_not_removed BEFORE DELETE ON assignment_revision BEGIN SELECT RAISE(ABORT, 'assignment_revision is insert-only'); END;
CREATE TRIGGER chain_is_not_changed BEFORE UPDATE ON chain BEGIN SELECT RAISE(ABORT, 'chain is insert-only'); END;
CREATE TRIGGER chain_is_not_removed BEFORE DELETE ON chain BEGIN SELECT RAISE(ABORT, 'chain is insert-only'); END;
CREATE TRIGGER chain_assignment_is_not_changed BEFORE UPDATE ON chain_assignment BEGIN SELECT RAISE(ABORT, 'chain_assignment is insert-only'); END;
CREATE TRIGGER chain_assignment_is_not_removed BEFORE DELETE ON chain_assignment BEGIN SELECT RAISE(ABORT, 'chain_assignment is insert-only'); END;
CREATE TRIGGER job_is_not_changed BEFORE UPDATE ON job BEGIN SELECT RAISE(ABORT, 'job is insert-only'); END;
CREATE TRIGGER job_is_not_removed BEFORE DELETE ON job BEGIN SELECT RAISE(ABORT, 'job is insert-only'); END;
CREATE TRIGGER part_is_not_changed BEFORE UPDATE ON part BEGIN SELECT RAISE(ABORT, 'part is insert-only'); END;
CREATE TRIGGER part_is_not_removed BEFORE DELETE ON part BEGIN SELECT RAISE(ABORT, 'part is insert-only'); END;
CREATE TRIGGER chain_revision_is_not_changed BEFORE UPDATE ON chain_revision BEGIN SELECT RAISE(ABORT, 'chain_revision is insert-only'); END;
CREATE TRIGGER chain_revision_is_not_removed BEFORE DELETE ON chain_revision BEGIN SELECT RAISE(ABORT, 'chain_revision is insert-only'); END;
CREATE TRIGGER chain_part_is_not_changed BEFORE UPDATE ON chain_part BEGIN SELECT RAISE(ABORT, 'chain_part is insert-only'); END;
CREATE TRIGGER chain_part_is_not_removed BEFORE DELETE ON chain_part BEGIN SELECT RAISE(ABORT, 'chain_part is insert-only'); END;
CREATE TRIGGER fact_is_not_changed BEFORE UPDATE ON fact BEGIN SELECT RAISE(ABORT, 'fact is insert-only'); END;
CREATE TRIGGER fact_is_not_removed BEFORE DELETE ON fact BEGIN SELECT RAISE(ABORT, 'fact is insert-only'); END;
CREATE TRIGGER independence_is_not_changed BEFORE UPDATE ON independence BEGIN SELECT RAISE(ABORT, 'independence is insert-only'); END;
CREATE TRIGGER independence_is_not_removed BEFORE DELETE ON independence BEGIN SELECT RAISE(ABORT, 'independence is insert-only'); END;
CREATE TRIGGER stand_setup_is_not_changed BEFORE UPDATE ON stand_setup BEGIN SELECT RAISE(ABORT, 'stand_setup is insert-only'); END;
CREATE TRIGGER stand_setup_is_not_removed BEFORE DELETE ON stand_setup BEGIN SELECT RAISE(ABORT, 'stand_setup is insert-only'); END;
CREATE TRIGGER trial_is_not_changed BEFORE UPDATE ON trial BEGIN SELECT RAISE(ABORT, 'trial is insert-only'); END;
CREATE TRIGGER trial_is_not_removed BEFORE DELETE ON trial BEGIN SELECT RAISE(ABORT, 'trial is insert-only'); END;
CREATE TRIGGER chosen_setting_is_not_changed BEFORE UPDATE ON chosen_setting BEGIN SELECT RAISE(ABORT, 'chosen_setting is insert-only'); END;
CREATE TRIGGER chosen_setting_is_not_removed BEFORE DELETE ON chosen_setting BEGIN SELECT RAISE(ABORT, 'chosen_setting is insert-only'); END;
CREATE TRIGGER reading_is_not_changed BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'reading is insert-only'); END;
CREATE TRIGGER reading_is_not_removed BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'reading is insert-only'); END;
CREATE TRIGGER answer_is_not_changed BEFORE UPDATE ON answer BEGIN SELECT RAISE(ABORT, 'answer is insert-only'); END;
CREATE TRIGGER answer_is_not_removed BEFORE DELETE ON answer BEGIN SELECT RAISE(ABORT, 'answer is insert-only'); END;
CREATE TRIGGER explanation_is_not_changed BEFORE UPDATE ON explanation BEGIN SELECT RAISE(ABORT, 'explanation is insert-only'); END;
CREATE TRIGGER explanation_is_not_removed BEFORE DELETE ON explanation BEGIN SELECT RAISE(ABORT, 'explanation is insert-only'); END;
CREATE TRIGGER release_is_not_changed BEFORE UPDATE ON release BEGIN SELECT RAISE(ABORT, 'release is insert-only'); END;
CREATE TRIGGER release_is_not_removed BEFORE DELETE ON release BEGIN SELECT RAISE(ABORT, 'release is insert-only'); END;
CREATE TRIGGER declaration_is_not_changed BEFORE UPDATE ON declaration BEGIN SELECT RAISE(ABORT, 'declaration is insert-only'); END;
CREATE TRIGGER declaration_is_not_removed BEFORE DELETE ON declaration BEGIN SELECT RAISE(ABORT, 'declaration is insert-only'); END;
CREATE TRIGGER decision_is_not_changed BEFORE UPDATE ON decision BEGIN SELECT RAISE(ABORT, 'decision is insert-only'); END;
CREATE TRIGGER decision_is_not_removed BEFORE DELETE ON decision BEGIN SELECT RAISE(ABORT, 'decision is insert-only'); END;
CREATE TRIGGER dossier_is_not_changed BEFORE UPDATE ON dossier BEGIN SELECT RAISE(ABORT, 'dossier is insert-only'); END;
CREATE TRIGGER dossier_is_not_removed BEFORE DELETE ON dossier BEGIN SELECT RAISE(ABORT, 'dossier is insert-only'); END;
