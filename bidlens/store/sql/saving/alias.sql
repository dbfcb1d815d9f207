-- One spelling confirmed to be another bidder; replaces an earlier decision on it.
INSERT OR REPLACE INTO bidder_alias BY NAME
SELECT $spelling AS spelling, $bidder AS bidder, $decided_at::TIMESTAMP AS decided_at, $reason AS reason;
