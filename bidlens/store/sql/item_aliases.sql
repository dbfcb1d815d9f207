-- One row per pay item description confirmed to be the same item as another; lines: under it on record.
-- columns: description, pay_unit, same_as, lines, reason, decided_at
-- parameters: none
SELECT
    description, pay_unit, same_as,
    (
        SELECT count(*)
        FROM contract_item AS item
        WHERE item.description = item_alias.description AND coalesce(item.pay_unit, '') = item_alias.pay_unit
    ) AS lines,
    reason, decided_at
FROM item_alias
ORDER BY same_as, description, pay_unit;
