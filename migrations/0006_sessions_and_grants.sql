-- What a person recognises a session by, and sites granted to a whole firm.

ALTER TABLE session ADD COLUMN device TEXT NOT NULL DEFAULT '' CONSTRAINT session_device_short CHECK (length(device) <= 40);

CREATE TABLE firm_grant (
  firm_id INTEGER NOT NULL CONSTRAINT firm_grant_has_firm REFERENCES firm (id),
  site_id INTEGER NOT NULL CONSTRAINT firm_grant_has_site REFERENCES site (id),
  granted_at INTEGER NOT NULL,
  expires_at INTEGER,
  CONSTRAINT firm_granted_once PRIMARY KEY (firm_id, site_id)
) STRICT;

-- Every grant a person holds, the own and those of the firm; whether it has expired is asked of `expires_at`.
CREATE VIEW held_grant AS
  SELECT person_id, site_id, expires_at FROM site_grant
  UNION ALL
  SELECT person.id AS person_id, firm_grant.site_id, firm_grant.expires_at
  FROM firm_grant JOIN person ON person.firm_id = firm_grant.firm_id;
