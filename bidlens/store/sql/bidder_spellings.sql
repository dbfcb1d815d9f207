-- One row per bidder as it stands in the bids and the bidder it is known as outside lettings where it is kept apart.
-- columns: bidder, confirmed_as, contracts
-- parameters: none
SELECT bidder, any_value(confirmed_as) AS confirmed_as, count(*) AS contracts
FROM bidder_known
GROUP BY bidder
ORDER BY contracts DESC, bidder;
