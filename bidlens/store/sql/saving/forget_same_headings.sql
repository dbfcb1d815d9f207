-- Remove the mappings made for the same headings of the same kind of file: one of them decides.
DELETE FROM column_mapping WHERE kind = $kind AND headings = $headings;
