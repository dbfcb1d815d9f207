-- One row per letting (contract and letting date): competition and low bid. Bidders are responsive bids alone, or as many as the file states;
-- totals as corrected, USD; the low bidder by the name it is known as; of bidders tied for first the first by name is shown and tied_low is above 1.
-- columns: contract_id, letting_date, status, agency, description, bidders, single_bid, low_bidder, low_total,
--          tied_low, second_total, source_file, source_sheet, source_row, batch_id
-- parameters: none
WITH ranked AS (
    SELECT
        contract_id, letting_date, total_corrected,
        row_number() OVER (PARTITION BY contract_id, letting_date ORDER BY rank_corrected NULLS LAST, bidder) AS place
    FROM bid
    WHERE status = 'responsive'
),
competition AS (
    SELECT
        contract_id, letting_date,
        count(*) AS bidders,
        max(total_corrected) FILTER (place = 2) AS second_total
    FROM ranked
    GROUP BY contract_id, letting_date
),
stated AS (
    -- a summary that names the low bidder alone still says how many bid
    SELECT contract_id, letting_date, bids_stated AS received
    FROM contract
    WHERE status <> 'rejected'
)
SELECT
    contract.contract_id, contract.letting_date, status, agency, description,
    coalesce(received, bidders, 0) AS bidders,
    coalesce(coalesce(received, bidders) = 1, false) AS single_bid,
    known_as AS low_bidder,
    low_total::DOUBLE AS low_total,
    coalesce(tied_low, 0) AS tied_low,
    second_total::DOUBLE AS second_total,
    contract.source_file, contract.source_sheet, contract.source_row, contract.batch_id
FROM contract
LEFT JOIN competition USING (contract_id, letting_date)
LEFT JOIN stated USING (contract_id, letting_date)
LEFT JOIN low_bid USING (contract_id, letting_date)
LEFT JOIN bidder_known
    ON bidder_known.contract_id = contract.contract_id AND bidder_known.letting_date = contract.letting_date
    AND bidder_known.bidder = low_bid.low_bidder
ORDER BY contract.letting_date, contract.contract_id;
