-- One row per bridge of the program list imported last, in the owner's order.
-- columns: structure_id, priority, superstructure, length_ft, width_ft, spans, skew_deg, letting_date,
--          engineering_usd, right_of_way_usd, utilities_usd, railroad_usd, source_file, source_sheet, source_row,
--          batch_id
-- parameters: none
SELECT
    structure_id, priority, superstructure, length_ft, width_ft, spans, skew_deg, letting_date,
    engineering_usd::DOUBLE AS engineering_usd, right_of_way_usd::DOUBLE AS right_of_way_usd,
    utilities_usd::DOUBLE AS utilities_usd, railroad_usd::DOUBLE AS railroad_usd,
    source_file, source_sheet, source_row, batch_id
FROM program_bridge
WHERE batch_id = (SELECT max(batch_id) FROM program_bridge)
ORDER BY priority NULLS LAST, source_sheet, source_row;
