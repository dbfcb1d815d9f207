-- One row per price typed by hand; in_use: the file it was typed for is on record.
-- columns: contract_id, letting_date, schedule, line, description, bidder, field, value_as_read, value, reason,
--          decided_at, source_file, source_sheet, source_row, in_use
-- parameters: none
SELECT
    correction.contract_id, correction.letting_date, correction.schedule, correction.line,
    (
        SELECT any_value(item.description)
        FROM contract_item AS item
        WHERE item.contract_id = correction.contract_id AND item.letting_date = correction.letting_date
            AND item.schedule = correction.schedule AND item.line = correction.line
    ) AS description,
    correction.bidder, field, value_as_read, value::DOUBLE AS value, reason, decided_at,
    correction.source_file, correction.source_sheet, correction.source_row,
    coalesce(
        (
            SELECT count(*) > 0
            FROM bid_price AS price
            WHERE price.contract_id = correction.contract_id AND price.letting_date = correction.letting_date
                AND price.schedule = correction.schedule AND price.line = correction.line
                AND price.bidder = correction.bidder AND price.by_hand IS NOT NULL
        ), false
    ) AS in_use
FROM correction
ORDER BY decided_at DESC, contract_id, letting_date, schedule, line, bidder;
