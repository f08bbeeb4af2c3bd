/* What a batch will come to: how many of those stuck are finished, how sure that is, how many it takes for
 * what is wanted, and until when they can be stuck.
 *
 * The losses of the stages go in as ranges (analysis/yield.h says how), nothing is guessed: where a stage
 * states no losses the forecast names it and has no figures. A variety's own rate stands in place of all
 * stages up to the one it speaks of.
 */
#ifndef ANALYSIS_FORECAST_H
#define ANALYSIS_FORECAST_H

#include "analysis/progress.h"
#include "analysis/survey.h"

typedef struct Forecast {
    const char *missing; /* what is not stated, so that there are no figures; NULL: there are */
    const OutlookStage *stages;
    size_t stage_count;
    const char *of;    /* what the last figure counts: "finished" */
    Progress progress; /* begun: what is said below rests on the record, and not on the plan */
    bool has_count;
    int64_t stuck, low, median, high; /* has_count: 5 %, 50 % and 95 % points of those finished */
    double expected;
    bool wants;
    int64_t wanted;
    Day by;        /* DAY_NONE: by no day */
    Number sure;   /* of the nursery, 9/10 where it says nothing */
    double chance; /* has_count and wants: that at least so many are finished */
    YieldStatus needed_status;
    int64_t needed; /* wants: the least number that makes it that sure */
    int64_t needed_trays,
        needed_whole;   /* in whole containers, and the cuttings these hold; 0 without cells */
    int64_t on_average; /* what it takes on average */
    Day latest;         /* wants by a day: the last day to stick; DAY_NONE: there is none in the window */
    bool late;          /* it is planned to be stuck after that */
} Forecast;

/* What it points at lives as long as the source remembers. With `ledgers` what is recorded settles what it
 * can; NULL: the plan alone counts. */
Forecast forecast_of(const FactSource *source, const Ledgers *ledgers, const SurveyBatch *batch);

#endif
