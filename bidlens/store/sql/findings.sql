-- One row per doubt met while importing, worst first, latest import first; accepted: why the engineer lets it stand, or
-- that the missing prices were typed by hand; empty while it is open.
-- columns: batch_id, severity, code, text, advice, contract_id, source_file, source_sheet, source_row, accepted
-- parameters: none
SELECT batch_id, severity, code, text, advice, contract_id, source_file, source_sheet, source_row, accepted
FROM finding_known
ORDER BY list_position(['stop', 'check', 'note'], severity), batch_id DESC, source_sheet NULLS FIRST, source_row, code,
    text;
