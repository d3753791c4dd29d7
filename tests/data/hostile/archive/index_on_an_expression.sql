CREATE INDEX heavy ON fact (length(hex(value)));
