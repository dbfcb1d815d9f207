-- Spellings of the bidders that still have a bid in the batch.
SELECT *
FROM staged_bidder
SEMI JOIN bid_left USING (bidder);
