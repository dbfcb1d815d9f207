-- Withdraw one decision by hand.
DELETE FROM category_override
WHERE item_code = $item_code AND description = $description AND pay_unit = $pay_unit;
