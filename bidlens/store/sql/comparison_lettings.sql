-- One row per letting of a contract number, the last first: what the bid comparison says of it; USD.
-- estimate_total is the estimate of a file that gives its total alone.
-- columns: contract_id, letting_date, status, agency, description, award_rests_on, bids_stated, estimate_total,
--          source_file, source_sheet, source_row
-- parameters: $contract_id
SELECT
    contract_id, letting_date, status, agency, description, award_rests_on, bids_stated,
    estimate_total::DOUBLE AS estimate_total,
    source_file, source_sheet, source_row
FROM contract
WHERE contract_id = $contract_id
ORDER BY letting_date DESC;
