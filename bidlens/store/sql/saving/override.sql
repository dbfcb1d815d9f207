-- One decision by hand; replaces an earlier one on the same item.
INSERT OR REPLACE INTO category_override BY NAME
SELECT $item_code AS item_code, $description AS description, $pay_unit AS pay_unit, $work_category AS work_category,
    $reason AS reason, $decided_at::TIMESTAMP AS decided_at;
