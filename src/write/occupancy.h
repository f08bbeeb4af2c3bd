/* How full places are, to bytes. */
#ifndef WRITE_OCCUPANCY_H
#define WRITE_OCCUPANCY_H

#include "analysis/occupancy.h"
#include "base/buffer.h"

typedef struct OccupancyReport {
    Arena *arena;
    const PlaceOccupancy *places;
    size_t place_count;
    const OccupancyGap *gaps;
    size_t gap_count;
    Slice place;  /* only this one; empty: all */
    Day from, to; /* only these days; DAY_NONE: all that are known */
    bool explain; /* say how it is reckoned */
} OccupancyReport;

typedef void OccupancyWriter(Buffer *out, const OccupancyReport *report);
OccupancyWriter occupancy_write_text; /* with a picture of the weeks */
OccupancyWriter occupancy_write_csv;
OccupancyWriter occupancy_write_json;
OccupancyWriter occupancy_write_svg; /* a picture of the season, readable in black and white */

#endif
