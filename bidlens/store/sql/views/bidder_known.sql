-- One row per bid: the bidder as read and `known_as`, the bidder the engineer has confirmed it to be. Where two bids of
-- one letting would become one bidder, both stay as read.
CREATE OR REPLACE TEMP VIEW bidder_known AS
WITH RECURSIVE road AS (
    SELECT spelling, bidder, 1 AS steps
    FROM bidder_alias
    UNION ALL
    SELECT road.spelling, bidder_alias.bidder, road.steps + 1
    FROM road
    JOIN bidder_alias ON bidder_alias.spelling = road.bidder
    WHERE road.steps < 50
),
stands_for AS (
    SELECT spelling, arg_max(bidder, steps) AS bidder
    FROM road
    GROUP BY spelling
)
SELECT
    contract_id, letting_date, bid.bidder, bid.batch_id,
    coalesce(stands_for.bidder, bid.bidder) AS confirmed_as,
    CASE
        WHEN count(*) OVER (PARTITION BY contract_id, letting_date, coalesce(stands_for.bidder, bid.bidder)) > 1
            THEN bid.bidder
        ELSE coalesce(stands_for.bidder, bid.bidder)
    END AS known_as
FROM bid
LEFT JOIN stands_for ON stands_for.spelling = bid.bidder;
