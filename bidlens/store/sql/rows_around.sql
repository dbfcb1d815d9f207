-- One row per row of a file on record at, just above and just below one row: its text as far as it is kept.
-- columns: source_row, kept_as, text
-- parameters: $batch_id, $source_sheet, $source_row
WITH kept AS (
    SELECT source_row, 'set aside: ' || reason AS kept_as, text
    FROM set_aside
    WHERE batch_id = $batch_id AND coalesce(source_sheet, '') = $source_sheet
    UNION ALL
    SELECT
        price.source_row, 'bid',
        concat_ws(
            ' | ', contract_id, nullif(schedule, ''), line, item.item_code, item.description, item.quantity,
            item.pay_unit, price.bidder,
            CASE
                WHEN price.unit_price IS NULL THEN 'no price'
                WHEN price.by_hand IS NOT NULL THEN price.unit_price::VARCHAR || ' typed by hand'
                ELSE price.unit_price::VARCHAR
            END,
            price.extension_as_read
        )
    FROM bid_price AS price
    JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
    WHERE price.batch_id = $batch_id AND coalesce(price.source_sheet, '') = $source_sheet
    UNION ALL
    SELECT source_row, 'structure', concat_ws(' | ', structure_id, nullif(contract_id, ''), name, superstructure_as_read, deck_area_sf, length_ft, width_ft)
    FROM structure
    WHERE batch_id = $batch_id AND coalesce(source_sheet, '') = $source_sheet
    UNION ALL
    SELECT source_row, 'proposal', concat_ws(' | ', proposal_id, supplier, superstructure, price_usd, price_per_sf)
    FROM proposal
    WHERE batch_id = $batch_id AND coalesce(source_sheet, '') = $source_sheet
),
near AS (
    SELECT
        max(source_row) FILTER (source_row < $source_row) AS above,
        min(source_row) FILTER (source_row > $source_row) AS below
    FROM kept
)
SELECT source_row, string_agg(DISTINCT kept_as, ' · ' ORDER BY kept_as) AS kept_as, string_agg(DISTINCT text, ' ; ' ORDER BY text) AS text
FROM kept, near
WHERE source_row IN (above, $source_row, below)
GROUP BY source_row
ORDER BY source_row;
