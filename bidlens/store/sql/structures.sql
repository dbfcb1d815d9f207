-- One row per bridge, contract and schedule that paid for it, the inventory (no contract) included.
-- columns: structure_id, contract_id, letting_date, schedule, name, superstructure, superstructure_as_read, deck_area_sf,
--          area_from, length_ft, width_ft, spans, span_ft, skew_deg, year_built, source_file, source_sheet, source_row, batch_id
-- parameters: none
SELECT *
FROM structure
ORDER BY structure_id, letting_date NULLS FIRST, contract_id, schedule;
