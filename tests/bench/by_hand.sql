-- The checks of by_hand.py as queries. Reads the table `plan`, which run.py imports; prints "NAME COUNT" for each that finds something.
CREATE TABLE kind (follow TEXT PRIMARY KEY, low REAL, high REAL, hormone TEXT);
INSERT INTO kind VALUES ('weigela-softwood', 12, 30, 'IBA 1000 ppm talc'), ('geranium-cells', 8, 14, 'none');
CREATE TABLE tray (into_ TEXT PRIMARY KEY, cells INTEGER);
INSERT INTO tray VALUES ('tray-72', 72), ('tray-128', 128);
CREATE TABLE span (follow TEXT, first TEXT, last TEXT);
INSERT INTO span VALUES ('weigela-softwood', '05-21', '07-20'), ('geranium-cells', '01-11', '03-31'), ('geranium-cells', '07-11', '08-31');

SELECT name || ' ' || faults FROM (
    SELECT 'depth' AS name, count(*) AS faults FROM plan JOIN kind USING (follow)
        WHERE CAST("depth (mm)" AS REAL) NOT BETWEEN low AND high
    UNION ALL
    SELECT 'duplicate', count(*) - count(DISTINCT batch) FROM plan
    UNION ALL
    SELECT 'hormone', count(*) FROM plan JOIN kind USING (follow) WHERE plan.hormone <> kind.hormone
    UNION ALL
    SELECT 'lasts', count(*) FROM plan WHERE julianday(stick) - julianday(take) NOT BETWEEN 0 AND 1
    UNION ALL
    SELECT 'too-few-cells', count(*) FROM plan JOIN tray ON "into" = into_
        WHERE CAST("count" AS INTEGER) > CAST(trays AS INTEGER) * cells
    UNION ALL
    SELECT 'window', count(*) FROM plan WHERE NOT EXISTS (
        SELECT 1 FROM span WHERE span.follow = plan.follow AND substr(take, 6) BETWEEN first AND last)
) WHERE faults > 0;
