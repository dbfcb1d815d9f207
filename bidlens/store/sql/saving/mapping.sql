-- One mapping; replaces an earlier one of the same name.
INSERT OR REPLACE INTO column_mapping BY NAME
SELECT $name AS name, $kind AS kind, $layout AS layout, $headings AS headings, $toml AS toml,
    $decided_at::TIMESTAMP AS decided_at;
