-- One pay item description confirmed to be the same item as another; replaces an earlier decision on it.
INSERT OR REPLACE INTO item_alias BY NAME
SELECT $description AS description, $pay_unit AS pay_unit, $same_as AS same_as, $reason AS reason,
    $decided_at::TIMESTAMP AS decided_at;
