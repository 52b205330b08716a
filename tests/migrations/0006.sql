-- A site granted to a firm for a year.
INSERT INTO firm_grant (firm_id, site_id, granted_at, expires_at)
VALUES (1, 1, 1930737600, 1962273600);
