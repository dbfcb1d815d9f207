-- One row per mapping on record: which column is what, newest first.
-- columns: name, kind, layout, headings, toml, decided_at
-- parameters: none
SELECT name, kind, layout, headings, toml, decided_at
FROM column_mapping
ORDER BY decided_at DESC, name;
