-- One row per bridge of the program list imported last, in the owner's order.
-- columns: structure_id, priority, superstructure, length_ft, width_ft, spans, skew_deg, letting_date, source_file,
--          source_sheet, source_row, batch_id
-- parameters: none
SELECT
    structure_id, priority, superstructure, length_ft, width_ft, spans, skew_deg, letting_date, source_file,
    source_sheet, source_row, batch_id
FROM program_bridge
WHERE batch_id = (SELECT max(batch_id) FROM program_bridge)
ORDER BY priority NULLS LAST, source_sheet, source_row;
