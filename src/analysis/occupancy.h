/* How full places are, day by day.
 *
 * On a day a place is taken by the containers of the batches that stand there: surely, as planned, and
 * perhaps (early begins, late ends, days to make it ready). Containers of several kinds count in proportion:
 * 20 of the 40 trays that it holds and 10 of the 40 boxes are three quarters of full. What a place holds of a
 * kind is what it says; else, where both state their sides, as many as fit the better way round, in rows.
 * Cuttings without a container take row from a bed that states its `row-length`: surely the least that they
 * may stand `apart`, as planned the middle, perhaps the most. A share is exact.
 */
#ifndef ANALYSIS_OCCUPANCY_H
#define ANALYSIS_OCCUPANCY_H

#include "analysis/stays.h"

typedef enum Certainty { CERTAINTY_SURE, CERTAINTY_PLANNED, CERTAINTY_PERHAPS, CERTAINTIES } Certainty;

/* Days on which all three shares stay the same. */
typedef struct OccupancySpan {
    Day first, leave;
    Number share[CERTAINTIES]; /* of full; 1 is full */
} OccupancySpan;

typedef struct OccupancyStay {
    Name batch;
    const Block *container;     /* NULL: in the rows of a bed */
    int64_t taken[CERTAINTIES]; /* containers; of a bed the row, in the base unit of lengths */
    DayStretch stretch[CERTAINTIES];
} OccupancyStay;

/* A batch that stands somewhere and cannot be counted there. */
typedef struct OccupancyGap {
    Name batch;
    const Block *place;
    const char *missing;    /* "its count", "its container", "how many it holds" of the container */
    const Field *field;     /* in which that would be stated */
    const Block *container; /* that the place holds an unknown number of; else NULL */
} OccupancyGap;

typedef struct PlaceOccupancy {
    const Block *place;
    const OccupancySpan *spans; /* ascending, without gaps from the first day to the last */
    size_t span_count;
    const OccupancyStay *stays; /* in the order of the plan; at most OCCUPANCY_STAYS of them */
    size_t stay_count;
    size_t all_stays;
    const Field *uncounted; /* what nobody states of one more that stands there; NULL: all are counted */
    bool unread;            /* one more, of which a value could not be read, and that was told */
} PlaceOccupancy;

/* A place over full. */
typedef struct OverFull {
    const PlaceOccupancy *at;
    Certainty certainty; /* SURE, or PERHAPS: it may be */
    Day first, leave;    /* of the first stretch of days over full */
    Day worst;
    Number share; /* on the worst day */
    size_t days;  /* of all such days */
    const OccupancyStay
        *last; /* of those there on the first day the one that came last; NULL when it was not kept */
    Day fits;  /* the first day from which it would have room for its whole stay; DAY_NONE: within a year none
                */
} OverFull;

enum { OCCUPANCY_STAYS = 4096 }; /* kept of a place, to name them */

typedef struct Occupancy Occupancy;

Occupancy *occupancy_new(const FactSource *source);
void occupancy_add(Occupancy *occupancy,
                   const Subject *batch); /* a dated batch, or one without dates: passed over */
/* Places at which anything stands, in the order of their names. */
const PlaceOccupancy *occupancy_places(Occupancy *occupancy, size_t *count);
const OccupancyGap *occupancy_gaps(const Occupancy *occupancy, size_t *count);
/* The share on the fullest day, and the first such day; false: nothing was counted there. */
bool occupancy_fullest(const PlaceOccupancy *place, Certainty certainty, Number *share, Day *day);
/* The batches there on a day: "A, B, C, D and 3 more". */
const char *occupancy_names(Arena *arena, const PlaceOccupancy *place, Certainty certainty, Day day);
/* Whether a place says of anything how much of it fits there. */
bool place_can_be_filled(const Block *place);
/* Whether a place is over full, surely or else perhaps. */
bool occupancy_over(const PlaceOccupancy *place, OverFull *over);
/* How many of a container a place holds, without one how much row; 0: it cannot be said. */
int64_t place_holds(const Block *place, const Block *container);

#endif
