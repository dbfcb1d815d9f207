-- One row per bridge, contract and schedule that paid for it: links of files, less those unlinked by hand, and links by
-- hand. linked_by: structure list, bid tab (its own column names the one structure), or hand; link_reason: why, by hand.
-- geometry_from: structure list; structure list, year not known; hand; hand and structure list (, year not known);
-- another bridge: the list has the bridge that was there before, or a later one, and its geometry is not used.
-- A row of the list is the new bridge where it was built from the year of letting to five years on; judgement.
CREATE OR REPLACE TEMP VIEW linked_structure AS
WITH from_file AS (
    SELECT structure.*, 'structure list' AS linked_by, NULL::VARCHAR AS link_reason, 'structure list' AS geometry_from
    FROM structure
    WHERE contract_id <> '' AND NOT EXISTS (
        FROM structure_link AS said
        WHERE said.contract_id = structure.contract_id AND said.structure_id = structure.structure_id
            AND (structure.letting_date IS NULL OR said.letting_date = structure.letting_date)
            AND (said.linked OR said.schedule = '' OR said.schedule = structure.schedule)
    )
),
named AS (
    SELECT contract.contract_id, contract.letting_date, structure_id
    FROM contract
    JOIN (SELECT DISTINCT structure_id FROM structure) ON upper(trim(structures_named)) = upper(structure_id)
    WHERE NOT EXISTS (FROM structure WHERE structure.contract_id = contract.contract_id)
        AND NOT EXISTS (
            FROM structure_link AS said
            WHERE said.contract_id = contract.contract_id AND said.letting_date = contract.letting_date
                AND said.structure_id = structure_id
        )
),
link AS (
    SELECT * EXCLUDE (linked, decided_at), 'hand' AS linked_by
    FROM structure_link
    WHERE linked
    UNION ALL BY NAME
    SELECT *, '' AS schedule, 'bid tab' AS linked_by
    FROM named
),
candidate AS (
    SELECT
        link.contract_id, link.letting_date, link.structure_id, link.schedule,
        listed.structure_id AS listed_id, listed.contract_id AS listed_contract, listed.schedule AS listed_schedule,
        CASE
            WHEN listed.contract_id = link.contract_id THEN 'structure list'
            WHEN built IS NULL THEN 'structure list, year not known'
            WHEN built BETWEEN year(link.letting_date) AND year(link.letting_date) + 5 THEN 'structure list'
            ELSE 'another bridge'
        END AS fit
    FROM link
    JOIN (
        SELECT *, CASE WHEN contract_id = '' THEN year_built ELSE coalesce(year(letting_date), year_built) END AS built
        FROM structure
    ) AS listed USING (structure_id)
    QUALIFY row_number() OVER (
        PARTITION BY link.contract_id, link.letting_date, link.structure_id, link.schedule
        ORDER BY
            listed.contract_id = link.contract_id AND listed.schedule = link.schedule DESC,
            listed.contract_id = link.contract_id DESC,
            list_position(['structure list', 'structure list, year not known', 'another bridge'], fit),
            listed.contract_id <> '', built, listed.contract_id, listed.schedule
    ) = 1
),
told AS (
    SELECT
        link.*,
        link.superstructure IS NOT NULL AND link.length_ft IS NOT NULL AND link.width_ft IS NOT NULL AS whole,
        coalesce(link.superstructure, link.length_ft::VARCHAR, link.width_ft::VARCHAR, link.span_ft::VARCHAR,
            link.spans::VARCHAR) IS NOT NULL AS partly,
        fit,
        coalesce(fit, 'another bridge') = 'another bridge' AS other,
        listed.* EXCLUDE (
            structure_id, contract_id, letting_date, schedule, superstructure, length_ft, width_ft, span_ft, spans
        ),
        listed.superstructure AS listed_superstructure, listed.length_ft AS listed_length_ft,
        listed.width_ft AS listed_width_ft, listed.span_ft AS listed_span_ft, listed.spans AS listed_spans
    FROM link
    LEFT JOIN candidate USING (contract_id, letting_date, structure_id, schedule)
    LEFT JOIN structure AS listed
        ON listed.structure_id = listed_id AND listed.contract_id = listed_contract
        AND listed.schedule = listed_schedule
),
by_hand AS (
    SELECT
        structure_id, contract_id, letting_date, schedule, name,
        coalesce(superstructure, CASE WHEN NOT other THEN listed_superstructure END, 'not stated') AS superstructure,
        CASE WHEN superstructure IS NULL AND NOT other THEN superstructure_as_read END AS superstructure_as_read,
        CASE
            WHEN length_ft IS NULL AND width_ft IS NULL THEN CASE WHEN NOT other THEN deck_area_sf END
            ELSE coalesce(length_ft, CASE WHEN NOT other THEN listed_length_ft END)
                * coalesce(width_ft, CASE WHEN NOT other THEN listed_width_ft END)
        END AS deck_area_sf,
        CASE
            WHEN length_ft IS NOT NULL OR width_ft IS NOT NULL THEN 'length x width, by hand'
            WHEN NOT other THEN area_from
        END AS area_from,
        coalesce(length_ft, CASE WHEN NOT other THEN listed_length_ft END) AS length_ft,
        coalesce(width_ft, CASE WHEN NOT other THEN listed_width_ft END) AS width_ft,
        coalesce(spans, CASE WHEN NOT other AND length_ft IS NULL THEN listed_spans END) AS spans,
        coalesce(
            span_ft, CASE WHEN spans = 1 THEN length_ft END,
            CASE WHEN NOT other AND length_ft IS NULL THEN listed_span_ft END
        ) AS span_ft,
        CASE WHEN NOT other THEN skew_deg END AS skew_deg,
        CASE WHEN NOT other THEN year_built END AS year_built,
        coalesce(source_file, 'linked by hand') AS source_file, source_sheet, source_row,
        coalesce(batch_id, 0) AS batch_id,
        linked_by, reason AS link_reason,
        CASE
            WHEN whole THEN 'hand'
            WHEN other THEN 'another bridge'
            WHEN partly THEN 'hand and ' || fit
            ELSE fit
        END AS geometry_from
    FROM told
)
FROM from_file
UNION ALL BY NAME
FROM by_hand;
