INSERT INTO archive_file VALUES ('/etc/passwd', x'00');
