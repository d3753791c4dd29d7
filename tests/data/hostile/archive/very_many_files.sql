WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) INSERT INTO archive_file SELECT 'routines/stretches/' || x || '.toml', x'00' FROM c LIMIT 3000;
