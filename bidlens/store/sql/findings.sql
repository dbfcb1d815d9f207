-- One row per doubt met while importing, worst first, latest import first.
-- columns: batch_id, severity, code, text, advice, contract_id, source_file, source_sheet, source_row
-- parameters: none
SELECT batch_id, severity, code, text, advice, contract_id, source_file, source_sheet, source_row
FROM finding
ORDER BY list_position(['stop', 'check', 'note'], severity), batch_id DESC, source_sheet NULLS FIRST, source_row, code, text;
