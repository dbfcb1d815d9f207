-- One row for the table set_aside per row of the file that served only what was taken out; a row that still serves
-- something else, or is set aside already, is left out.
WITH numbered AS (
    SELECT *, row_number() OVER () AS place
    FROM taken
)
SELECT
    source_file, source_sheet, source_row,
    min(reason) AS reason,
    string_agg(text, ' ; ' ORDER BY place) AS text,
    0::INTEGER AS batch_id
FROM numbered
WHERE NOT EXISTS (
    FROM in_use
    WHERE in_use.source_file = numbered.source_file
        AND in_use.source_row = numbered.source_row
        AND in_use.source_sheet IS NOT DISTINCT FROM numbered.source_sheet
)
GROUP BY source_file, source_sheet, source_row
ORDER BY source_file, source_sheet NULLS FIRST, source_row;
