UPDATE archive_file SET octets = zeroblob(2000000);
