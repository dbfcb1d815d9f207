-- Typed rows back as the text of their cells.
SELECT source_file, source_sheet, source_row, reason, concat_ws(' | ', {cells}) AS text
FROM typed;
