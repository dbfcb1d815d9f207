-- One row per pay item the engineer has placed by hand; an empty code or pay unit stands for any.
-- columns: item_code, description, pay_unit, work_category, reason, decided_at
-- parameters: none
SELECT item_code, description, pay_unit, work_category, reason, decided_at
FROM category_override
ORDER BY description, item_code, pay_unit;
