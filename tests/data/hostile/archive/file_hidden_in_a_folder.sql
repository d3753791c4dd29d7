INSERT INTO archive_file VALUES ('routines/stretches/../../x.toml', x'00');
