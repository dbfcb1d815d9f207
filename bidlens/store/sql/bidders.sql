-- One row per bidder, spellings confirmed to be one counted together: bids, responsive bids, first places by corrected
-- total (ties count for each), spellings on record.
-- columns: bidder, bids, responsive, low_bids, spellings, first_letting, last_letting
-- parameters: none
SELECT
    known_as AS bidder,
    count(*) AS bids,
    count(*) FILTER (status = 'responsive') AS responsive,
    count(*) FILTER (status = 'responsive' AND rank_corrected = 1) AS low_bids,
    string_agg(DISTINCT bidder, ' · ' ORDER BY bidder) AS spellings,
    min(letting_date) AS first_letting,
    max(letting_date) AS last_letting
FROM bid
JOIN bidder_known USING (contract_id, letting_date, bidder)
GROUP BY known_as
ORDER BY bids DESC, known_as;
