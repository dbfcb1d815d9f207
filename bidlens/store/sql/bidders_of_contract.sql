-- One row per bidder of one letting, by corrected rank, unranked bids last; USD.
-- columns: bidder, bidder_as_read, status, total_as_read, total_corrected, rank_as_read, rank_corrected, source_file,
--          source_sheet, source_row
-- parameters: $contract_id, $letting_date
SELECT
    known_as AS bidder, bidder AS bidder_as_read, status,
    total_as_read::DOUBLE AS total_as_read,
    total_corrected::DOUBLE AS total_corrected,
    rank_as_read, rank_corrected, source_file, source_sheet, source_row
FROM bid
JOIN bidder_known USING (contract_id, letting_date, bidder)
WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE
ORDER BY rank_corrected NULLS LAST, bidder_as_read;
