-- One row per bid of every letting, and one without bidder for a letting without bids; totals in USD,
-- bidders by the name each is known as.
-- bids_stated: bids received, where the file says so.
-- columns: contract_id, letting_date, contract_status, agency, description, bids_stated, letting_file, letting_sheet,
--          letting_row, bidder, status, total_as_read, total_corrected, rank_as_read, rank_corrected
-- parameters: none
SELECT
    contract_id, letting_date,
    contract.status AS contract_status, agency, description, bids_stated,
    contract.source_file AS letting_file, contract.source_sheet AS letting_sheet, contract.source_row AS letting_row,
    known_as AS bidder, bid.status,
    total_as_read::DOUBLE AS total_as_read,
    total_corrected::DOUBLE AS total_corrected,
    rank_as_read, rank_corrected
FROM contract
LEFT JOIN bid USING (contract_id, letting_date)
LEFT JOIN bidder_known USING (contract_id, letting_date, bidder)
ORDER BY letting_date, contract_id, rank_corrected NULLS LAST, known_as;
