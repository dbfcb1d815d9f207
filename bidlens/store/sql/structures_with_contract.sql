-- One row per bridge, contract and schedule that paid for it, links by hand included; bridges of the inventory alone are
-- left out. linked_by, link_reason, geometry_from: as in views/linked_structure.
-- columns: structure_id, contract_id, letting_date, schedule, name, superstructure, superstructure_as_read, deck_area_sf,
--          area_from, length_ft, width_ft, spans, span_ft, skew_deg, year_built, source_file, source_sheet, source_row, batch_id,
--          linked_by, link_reason, geometry_from
-- parameters: none
SELECT *
FROM linked_structure
ORDER BY structure_id, letting_date NULLS FIRST, contract_id, schedule;
