-- What the authority's paper says beyond frequency, power and height; what was built, measured on the
-- spot; and surveys of exposure.

ALTER TABLE assignment_revision ADD COLUMN latitude_deg REAL CONSTRAINT licensed_latitude_in_range CHECK (latitude_deg >= -90 AND latitude_deg <= 90);
ALTER TABLE assignment_revision ADD COLUMN latitude_typed TEXT CONSTRAINT licensed_latitude_typed_too CHECK ((latitude_deg IS NULL) = (latitude_typed IS NULL));
ALTER TABLE assignment_revision ADD COLUMN longitude_deg REAL CONSTRAINT licensed_longitude_in_range CHECK (longitude_deg >= -180 AND longitude_deg <= 180);
ALTER TABLE assignment_revision ADD COLUMN longitude_typed TEXT CONSTRAINT licensed_longitude_typed_too CHECK ((longitude_deg IS NULL) = (longitude_typed IS NULL) AND (longitude_deg IS NULL) = (latitude_deg IS NULL));
ALTER TABLE assignment_revision ADD COLUMN datum TEXT CONSTRAINT licensed_datum_known CHECK (datum IN ('wgs-84', 'etrs89', 'nad-83', 'other') AND (datum IS NULL) = (latitude_deg IS NULL));
ALTER TABLE assignment_revision ADD COLUMN bays INTEGER CONSTRAINT licensed_bays_in_range CHECK (bays >= 1 AND bays <= 64);
ALTER TABLE assignment_revision ADD COLUMN bearing_deg REAL CONSTRAINT licensed_bearing_in_range CHECK (bearing_deg >= 0 AND bearing_deg <= 360);
ALTER TABLE assignment_revision ADD COLUMN bearing_typed TEXT CONSTRAINT licensed_bearing_typed_too CHECK ((bearing_deg IS NULL) = (bearing_typed IS NULL));
ALTER TABLE assignment_revision ADD COLUMN antenna TEXT NOT NULL DEFAULT '';
ALTER TABLE assignment_revision ADD COLUMN licence TEXT NOT NULL DEFAULT '';
ALTER TABLE assignment_revision ADD COLUMN licence_expires_on TEXT;

INSERT INTO fact_kind (word) VALUES ('as-built'), ('exposure-survey');

CREATE TABLE as_built (
  fact_id INTEGER PRIMARY KEY CONSTRAINT as_built_has_fact REFERENCES fact (id),
  height_m REAL CONSTRAINT built_height_in_range CHECK (height_m >= 0 AND height_m <= 1000),
  height_typed TEXT,
  height_method TEXT CONSTRAINT built_height_method_known CHECK (height_method IN ('tape', 'laser', 'theodolite', 'drawing')),
  latitude_deg REAL CONSTRAINT built_latitude_in_range CHECK (latitude_deg >= -90 AND latitude_deg <= 90),
  latitude_typed TEXT,
  longitude_deg REAL CONSTRAINT built_longitude_in_range CHECK (longitude_deg >= -180 AND longitude_deg <= 180),
  longitude_typed TEXT,
  datum TEXT CONSTRAINT built_datum_known CHECK (datum IN ('wgs-84', 'etrs89', 'nad-83', 'other')),
  position_method TEXT CONSTRAINT built_position_method_known CHECK (position_method IN ('averaged', 'single-fix', 'survey', 'map')),
  accuracy_m REAL CONSTRAINT built_accuracy_in_range CHECK (accuracy_m >= 0 AND accuracy_m <= 1000),
  accuracy_typed TEXT,
  polarization TEXT CONSTRAINT built_polarization_known CHECK (polarization IN ('vertical', 'horizontal', 'circular', 'mixed')),
  bays INTEGER CONSTRAINT built_bays_in_range CHECK (bays >= 1 AND bays <= 64),
  bearing_deg REAL CONSTRAINT built_bearing_in_range CHECK (bearing_deg >= 0 AND bearing_deg <= 360),
  bearing_typed TEXT,
  north TEXT CONSTRAINT built_north_known CHECK (north IN ('true', 'magnetic')),
  declination_deg REAL CONSTRAINT built_declination_in_range CHECK (declination_deg >= -180 AND declination_deg <= 180),
  declination_typed TEXT,
  frequency_mhz REAL CONSTRAINT built_frequency_in_range CHECK (frequency_mhz >= 60 AND frequency_mhz <= 120),
  frequency_typed TEXT,
  frequency_method TEXT NOT NULL,
  note TEXT NOT NULL,
  CONSTRAINT built_height_whole CHECK ((height_m IS NULL) = (height_typed IS NULL) AND (height_m IS NULL) = (height_method IS NULL)),
  CONSTRAINT built_position_whole CHECK ((latitude_deg IS NULL) = (latitude_typed IS NULL) AND (latitude_deg IS NULL) = (longitude_deg IS NULL)
    AND (longitude_deg IS NULL) = (longitude_typed IS NULL) AND (latitude_deg IS NULL) = (datum IS NULL) AND (latitude_deg IS NULL) = (position_method IS NULL)),
  CONSTRAINT built_accuracy_whole CHECK ((accuracy_m IS NULL) = (accuracy_typed IS NULL) AND (accuracy_m IS NULL OR latitude_deg IS NOT NULL)),
  CONSTRAINT built_bearing_whole CHECK ((bearing_deg IS NULL) = (bearing_typed IS NULL) AND (bearing_deg IS NULL) = (north IS NULL)),
  CONSTRAINT built_declination_whole CHECK ((declination_deg IS NULL) = (declination_typed IS NULL) AND (declination_deg IS NULL OR north = 'magnetic')),
  CONSTRAINT built_frequency_whole CHECK ((frequency_mhz IS NULL) = (frequency_typed IS NULL) AND (frequency_mhz IS NULL OR length(trim(frequency_method)) > 0)),
  CONSTRAINT built_says_something CHECK (height_m IS NOT NULL OR latitude_deg IS NOT NULL OR polarization IS NOT NULL OR bays IS NOT NULL OR bearing_deg IS NOT NULL OR frequency_mhz IS NOT NULL)
) STRICT;

CREATE TABLE exposure_survey (
  fact_id INTEGER PRIMARY KEY CONSTRAINT exposure_survey_has_fact REFERENCES fact (id),
  instrument TEXT NOT NULL CONSTRAINT survey_instrument_filled CHECK (length(trim(instrument)) > 0),
  all_on INTEGER NOT NULL CONSTRAINT survey_all_on_flag CHECK (all_on IN (0, 1)),
  note TEXT NOT NULL
) STRICT;

CREATE TABLE exposure_point (
  id INTEGER PRIMARY KEY,
  fact_id INTEGER NOT NULL CONSTRAINT exposure_point_has_survey REFERENCES exposure_survey (fact_id),
  number INTEGER NOT NULL,
  place TEXT NOT NULL CONSTRAINT exposure_place_filled CHECK (length(trim(place)) > 0),
  area TEXT NOT NULL CONSTRAINT exposure_area_known CHECK (area IN ('public', 'controlled')),
  share_percent REAL NOT NULL CONSTRAINT exposure_share_in_range CHECK (share_percent >= 0 AND share_percent <= 1000),
  share_typed TEXT NOT NULL,
  CONSTRAINT exposure_point_once UNIQUE (fact_id, number)
) STRICT;

CREATE TRIGGER as_built_is_not_changed BEFORE UPDATE ON as_built BEGIN SELECT RAISE(ABORT, 'as_built is insert-only'); END;
CREATE TRIGGER as_built_is_not_removed BEFORE DELETE ON as_built BEGIN SELECT RAISE(ABORT, 'as_built is insert-only'); END;
CREATE TRIGGER exposure_survey_is_not_changed BEFORE UPDATE ON exposure_survey BEGIN SELECT RAISE(ABORT, 'exposure_survey is insert-only'); END;
CREATE TRIGGER exposure_survey_is_not_removed BEFORE DELETE ON exposure_survey BEGIN SELECT RAISE(ABORT, 'exposure_survey is insert-only'); END;
CREATE TRIGGER exposure_point_is_not_changed BEFORE UPDATE ON exposure_point BEGIN SELECT RAISE(ABORT, 'exposure_point is insert-only'); END;
CREATE TRIGGER exposure_point_is_not_removed BEFORE DELETE ON exposure_point BEGIN SELECT RAISE(ABORT, 'exposure_point is insert-only'); END;
