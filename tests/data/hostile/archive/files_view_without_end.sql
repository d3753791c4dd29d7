ALTER TABLE archive_file RENAME TO hidden;
CREATE VIEW archive_file AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT 'settings.toml' AS path, x AS octets FROM c;
