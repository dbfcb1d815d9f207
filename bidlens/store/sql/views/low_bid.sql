-- One row per letting with a responsive bid: its low bidder by corrected total; of bidders tied for first, the
-- first by name, and `tied_low` says how many share the place.
CREATE OR REPLACE TEMP VIEW low_bid AS
SELECT
    contract_id,
    letting_date,
    bidder AS low_bidder,
    total_corrected AS low_total,
    count(*) OVER (PARTITION BY contract_id, letting_date)::INTEGER AS tied_low
FROM bid
WHERE status = 'responsive' AND rank_corrected = 1
QUALIFY row_number() OVER (PARTITION BY contract_id, letting_date ORDER BY bidder) = 1;
