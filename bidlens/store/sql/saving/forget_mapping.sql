-- Remove one mapping by its name.
DELETE FROM column_mapping WHERE name = $name;
