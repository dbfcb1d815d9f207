-- One row per spelling confirmed to be another bidder; contracts: bids under that spelling on record.
-- columns: spelling, bidder, contracts, reason, decided_at
-- parameters: none
SELECT
    spelling, bidder,
    (SELECT count(*) FROM bid WHERE bid.bidder = bidder_alias.spelling) AS contracts,
    reason, decided_at
FROM bidder_alias
ORDER BY bidder, spelling;
