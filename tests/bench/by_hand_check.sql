-- The checks of by_hand.py as queries. Reads `plan` and `limits`, which run.py imports; prints a line for each finding, then
-- "NAME COUNT" for each check that found something. Days of a window are MMDD.
CREATE TEMP TABLE container AS SELECT DISTINCT "into" AS name, CAST(cells AS INTEGER) AS cells, CAST(deep AS REAL) AS deep
    FROM limits WHERE "into" <> '';
CREATE TEMP TABLE place AS SELECT DISTINCT place AS name, enclosure FROM limits
    UNION VALUES ('shade-yard', 'shade'), ('cold-frame', 'frame'), ('plug-bench', 'bench');
CREATE TEMP TABLE span AS
    SELECT protocol, 'take' AS kind, take_from AS first, take_to AS last FROM limits
    UNION ALL SELECT protocol, 'take', again_from, again_to FROM limits WHERE again_from <> ''
    UNION ALL SELECT protocol, 'prefer', prefer_from, prefer_to FROM limits WHERE prefer_from <> ''
    UNION ALL SELECT protocol, 'stick', stick_from, stick_to FROM limits WHERE stick_from <> '';
-- A span over New Year becomes two, so that each query asks one BETWEEN.
INSERT INTO span SELECT protocol, kind, '0101', last FROM span WHERE first > last;
UPDATE span SET last = '1231' WHERE first > last;
CREATE INDEX span_of ON span (protocol, kind);
CREATE UNIQUE INDEX limits_of ON limits (protocol);
CREATE UNIQUE INDEX container_of ON container (name);
CREATE UNIQUE INDEX place_of ON place (name);

CREATE TEMP TABLE found AS
    SELECT rowid + 1 AS line, 'duplicate' AS name FROM plan
        WHERE batch IN (SELECT batch FROM plan GROUP BY batch HAVING count(*) > 1)
    UNION ALL SELECT plan.rowid + 1, 'unknown-protocol' FROM plan WHERE follow NOT IN (SELECT protocol FROM limits)
    UNION ALL SELECT plan.rowid + 1, 'wrong-plant' FROM plan JOIN limits ON protocol = follow WHERE plan.plant <> limits.plant
    UNION ALL SELECT plan.rowid + 1, 'unreadable' FROM plan WHERE julianday(take) IS NULL OR julianday(stick) IS NULL
    UNION ALL SELECT plan.rowid + 1, 'no-cuttings' FROM plan WHERE CAST(count AS INTEGER) < 1
    UNION ALL SELECT plan.rowid + 1, 'window' FROM plan WHERE NOT EXISTS (SELECT 1 FROM span
        WHERE protocol = follow AND kind = 'take' AND substr(take, 6, 2) || substr(take, 9, 2) BETWEEN first AND last)
    UNION ALL SELECT plan.rowid + 1, 'preferred-window' FROM plan
        WHERE EXISTS (SELECT 1 FROM span WHERE protocol = follow AND kind = 'prefer')
        AND NOT EXISTS (SELECT 1 FROM span
            WHERE protocol = follow AND kind = 'prefer' AND substr(take, 6, 2) || substr(take, 9, 2) BETWEEN first AND last)
        AND EXISTS (SELECT 1 FROM span
            WHERE protocol = follow AND kind = 'take' AND substr(take, 6, 2) || substr(take, 9, 2) BETWEEN first AND last)
    UNION ALL SELECT plan.rowid + 1, 'stick-window' FROM plan JOIN limits ON protocol = follow
        WHERE stick_from <> '' AND substr(stick, 6, 2) || substr(stick, 9, 2) NOT BETWEEN stick_from AND stick_to
    UNION ALL SELECT plan.rowid + 1, 'order' FROM plan WHERE stick < take
    UNION ALL SELECT plan.rowid + 1, 'lasts' FROM plan JOIN limits ON protocol = follow
        WHERE stick >= take
        AND julianday(stick) - julianday(take) NOT BETWEEN CAST(hold_least AS INTEGER) AND CAST(hold_most AS INTEGER)
    UNION ALL SELECT plan.rowid + 1, 'unknown-container' FROM plan WHERE "into" <> '' AND "into" NOT IN (SELECT name FROM container)
    UNION ALL SELECT plan.rowid + 1, 'no-trays' FROM plan WHERE "into" <> '' AND trays = ''
    UNION ALL SELECT plan.rowid + 1, 'too-few-cells' FROM plan JOIN container ON name = "into"
        WHERE trays <> '' AND CAST(count AS INTEGER) > CAST(trays AS INTEGER) * cells
    UNION ALL SELECT plan.rowid + 1, 'unknown-place' FROM plan WHERE stands NOT IN (SELECT name FROM place)
    UNION ALL SELECT plan.rowid + 1, 'enclosure' FROM plan JOIN limits ON protocol = follow JOIN place ON name = stands
        WHERE place.enclosure <> limits.enclosure
    UNION ALL SELECT plan.rowid + 1, 'depth' FROM plan JOIN limits ON protocol = follow
        WHERE "depth (mm)" <> '' AND depth_least <> ''
        AND CAST("depth (mm)" AS REAL) NOT BETWEEN CAST(depth_least AS REAL) AND CAST(depth_most AS REAL)
    UNION ALL SELECT plan.rowid + 1, 'deeper-than-cell' FROM plan JOIN container ON name = "into"
        WHERE "depth (mm)" <> '' AND CAST("depth (mm)" AS REAL) > deep
    UNION ALL SELECT plan.rowid + 1, 'wet-big-leaves' FROM plan JOIN place ON name = stands
        WHERE "leaf-length (cm)" <> '' AND place.enclosure = 'mist' AND CAST("leaf-length (cm)" AS REAL) > 10
    UNION ALL SELECT plan.rowid + 1, 'hormone-missing' FROM plan WHERE hormone = ''
    UNION ALL SELECT plan.rowid + 1, 'hormone' FROM plan JOIN limits ON protocol = follow
        WHERE plan.hormone <> '' AND plan.hormone <> limits.hormone;

SELECT 'plan.csv:' || line || ': ' || name FROM found ORDER BY line;
SELECT name || ' ' || count(*) FROM found GROUP BY name ORDER BY name;
