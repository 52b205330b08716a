-- Photos: files by their SHA-256 in a folder beside the database, and the facts that speak of them.
--
-- A row of `file` is written only after its bytes are on the disk under their digest, synced. A picture's
-- thumbnail and its rendition for print are files of the same folder, named by their own digests; a picture
-- whose own bytes can be printed has no rendition.

CREATE TABLE file (
  id INTEGER PRIMARY KEY,
  digest BLOB NOT NULL CONSTRAINT file_digest_once UNIQUE CONSTRAINT file_digest_whole CHECK (length(digest) = 32),
  act BLOB NOT NULL CONSTRAINT file_has_act REFERENCES journal (uuid) DEFERRABLE INITIALLY DEFERRED,
  media_type TEXT NOT NULL CONSTRAINT file_media_type_named CHECK (media_type LIKE '_%/_%'),
  bytes INTEGER NOT NULL CONSTRAINT file_bytes_some CHECK (bytes > 0)
) STRICT;

CREATE TABLE picture (
  file_id INTEGER PRIMARY KEY CONSTRAINT picture_has_file REFERENCES file (id),
  width_px INTEGER NOT NULL CONSTRAINT picture_width_some CHECK (width_px > 0),
  height_px INTEGER NOT NULL CONSTRAINT picture_height_some CHECK (height_px > 0),
  orientation INTEGER NOT NULL CONSTRAINT picture_orientation_known CHECK (orientation BETWEEN 1 AND 8),
  thumbnail BLOB NOT NULL CONSTRAINT picture_thumbnail_whole CHECK (length(thumbnail) = 32),
  print BLOB CONSTRAINT picture_print_whole CHECK (length(print) = 32),
  print_width_px INTEGER CONSTRAINT picture_print_width_some CHECK (print_width_px > 0),
  print_height_px INTEGER CONSTRAINT picture_print_height_some CHECK (print_height_px > 0),
  CONSTRAINT picture_print_sized CHECK ((print IS NULL) = (print_width_px IS NULL) AND (print IS NULL) = (print_height_px IS NULL))
) STRICT;

INSERT INTO fact_kind (word) VALUES ('photo');

CREATE TABLE photo (
  fact_id INTEGER PRIMARY KEY CONSTRAINT photo_has_fact REFERENCES fact (id),
  file_id INTEGER NOT NULL CONSTRAINT photo_has_picture REFERENCES picture (file_id),
  caption TEXT NOT NULL CONSTRAINT photo_caption_filled CHECK (length(trim(caption)) > 0),
  item TEXT CONSTRAINT photo_item_filled CHECK (length(item) > 0),
  part_id INTEGER CONSTRAINT photo_shows_part REFERENCES part (id),
  stage TEXT CONSTRAINT photo_stage_known CHECK (stage IN ('authority', 'stand', 'mast', 'cold-tests', 'rf-on', 'hand-over')),
  about_fact_id INTEGER CONSTRAINT photo_about_fact REFERENCES fact (id)
) STRICT;

CREATE INDEX photo_by_file ON photo (file_id);

CREATE TRIGGER file_is_not_changed BEFORE UPDATE ON file BEGIN SELECT RAISE(ABORT, 'file is insert-only'); END;
CREATE TRIGGER file_is_not_removed BEFORE DELETE ON file BEGIN SELECT RAISE(ABORT, 'file is insert-only'); END;
CREATE TRIGGER picture_is_not_changed BEFORE UPDATE ON picture BEGIN SELECT RAISE(ABORT, 'picture is insert-only'); END;
CREATE TRIGGER picture_is_not_removed BEFORE DELETE ON picture BEGIN SELECT RAISE(ABORT, 'picture is insert-only'); END;
CREATE TRIGGER photo_is_not_changed BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'photo is insert-only'); END;
CREATE TRIGGER photo_is_not_removed BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'photo is insert-only'); END;
