-- One row per bridge, contract and schedule that paid for it, the inventory (no contract) included; links by hand count,
-- a bridge unlinked by hand stands without its contract. linked_by, geometry_from: as in views/linked_structure.
-- columns: structure_id, contract_id, letting_date, schedule, name, superstructure, superstructure_as_read, deck_area_sf,
--          area_from, length_ft, width_ft, spans, span_ft, skew_deg, year_built, source_file, source_sheet, source_row, batch_id,
--          linked_by, link_reason, geometry_from
-- parameters: none
SELECT *
FROM linked_structure
UNION ALL BY NAME
SELECT structure.*
FROM structure
WHERE contract_id = ''
UNION ALL BY NAME
SELECT structure.* REPLACE ('' AS contract_id, NULL AS letting_date, '' AS schedule)
FROM structure
WHERE contract_id <> '' AND structure_id NOT IN (SELECT structure_id FROM linked_structure)
    AND structure_id NOT IN (SELECT structure_id FROM structure WHERE contract_id = '')
QUALIFY row_number() OVER (PARTITION BY structure_id ORDER BY structure.contract_id, structure.schedule) = 1
ORDER BY structure_id, letting_date NULLS FIRST, contract_id, schedule;
