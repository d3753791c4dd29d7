INSERT INTO archive_file VALUES ('../../.ssh/authorized_keys', x'00');
