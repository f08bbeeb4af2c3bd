/* What the forms of a report on places share. Private to src/write. */
#ifndef WRITE_OCCUPANCY_SPAN_H
#define WRITE_OCCUPANCY_SPAN_H

#include "write/occupancy.h"

double share_percent(Number share);
/* Whether a place is asked for and anything stands there. */
bool report_has_place(const OccupancyReport *report, const PlaceOccupancy *place);
/* The part of a span that lies in the report's days; false: none. */
bool report_span(const OccupancyReport *report, const OccupancySpan *span, Day *first, Day *leave);
/* From the first to behind the last day of all places asked for; false: none. */
bool report_days(const OccupancyReport *report, Day *first, Day *leave);

#endif
