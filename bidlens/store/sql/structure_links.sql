-- One row per structure and schedule that the engineer linked to a contract or unlinked from it, latest first; lengths in
-- feet; in_use: the letting is on record. geometry_from: as in views/linked_structure; empty where unlinked.
-- columns: contract_id, letting_date, structure_id, schedule, linked, superstructure, length_ft, width_ft, span_ft, spans,
--          geometry_from, in_use, reason, decided_at
-- parameters: none
SELECT
    said.contract_id, said.letting_date, said.structure_id, said.schedule, said.linked, said.superstructure,
    said.length_ft, said.width_ft, said.span_ft, said.spans, view.geometry_from,
    EXISTS (
        FROM contract
        WHERE contract.contract_id = said.contract_id AND contract.letting_date = said.letting_date
    ) AS in_use,
    reason, decided_at
FROM structure_link AS said
LEFT JOIN linked_structure AS view
    ON view.contract_id = said.contract_id AND view.letting_date = said.letting_date
    AND view.structure_id = said.structure_id AND view.schedule = said.schedule AND said.linked
    AND view.linked_by = 'hand'
ORDER BY decided_at DESC, said.contract_id, said.structure_id, said.schedule;
