-- Give lines the work category and rule of their pay item and schedule; `new_category` holds distinct pay items.
UPDATE contract_item
SET work_category = new_category.work_category, category_rule = new_category.rule
FROM new_category
WHERE contract_item.item_code IS NOT DISTINCT FROM new_category.item_code
    AND contract_item.description = new_category.description
    AND contract_item.pay_unit IS NOT DISTINCT FROM new_category.pay_unit
    AND contract_item.schedule = new_category.schedule
    AND (
        contract_item.work_category <> new_category.work_category
        OR contract_item.category_rule <> new_category.rule
    );
