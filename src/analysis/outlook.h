/* What lies ahead of the batches of a protocol: what comes through each of its stages; remembered.
 *
 * Given what a batch refers to, gives the survivals of the stages in their order, and from these chances,
 * numbers to stick and last days. Nothing is guessed: where a stage states no losses the outlook ends before
 * it and says what is missing. A variety's own rate stands in place of all stages up to the one it speaks of.
 *
 * A chance takes from some microseconds to some milliseconds, and batches are much alike: what a source has a
 * memory for is worked out once. What a batch's record says is left to whoever asks.
 */
#ifndef ANALYSIS_OUTLOOK_H
#define ANALYSIS_OUTLOOK_H

#include "analysis/subject.h"
#include "analysis/yield.h"

/* What is left behind one stage of those stuck, as shares: in one of twenty batches less than `low`, on
 * average `mean`, in one of twenty more than `high`. */
typedef struct OutlookStage {
    const char *name;
    double low, mean, high;
} OutlookStage;

typedef struct Outlook {
    YieldStages stages; /* those that are known */
    const char *const *names;
    Interval first;      /* what comes through the first, as it was stated */
    size_t skipped;      /* stages of the protocol that the first of these stands for besides its own */
    const char *missing; /* why it ends there: "the losses of root in deutzia"; NULL: all is known */
    const Field *missing_field; /* what nobody states; NULL: nothing, or what is stated cannot be, and that
                                   was told */
    OutlookStage *shares;       /* NULL until asked for */
} Outlook;

typedef struct Outlooks Outlooks;

Outlooks *outlooks_new(Arena *lasting);

/* The outlook of all batches that refer to the same; of a protocol that has a schedule. */
Outlook *outlook_of(const FactSource *source, const Context *context);
/* What is left behind one of its stages, and behind each. This takes milliseconds where two stages or more
 * vary … */
const OutlookStage *outlook_share(const FactSource *source, Outlook *outlook, size_t stage);
const OutlookStage *outlook_shares(const FactSource *source, Outlook *outlook);
/* … and a range that surely holds what is from `low` to `high` does not: no stage leaves more than all of
 * them do, and all leave less than so little only where one does. */
void outlook_share_bounds(const Outlook *outlook, size_t stage, double *least, double *most);
/* How many of its stages end with what is measured: `rooted` is at the end of the last stage whose role
 * begins the word. 0: no stage, or the outlook ends before it. */
size_t outlook_stages_of(const Outlook *outlook, const Protocol *protocol, Slice measure);
/* As yield_chance and yield_needed (for the nursery's `sure`), on an outlook from which nothing is missing.
 */
YieldStatus outlook_chance(const FactSource *source, const Outlook *outlook, int64_t stuck, int64_t wanted,
                           double *chance);
YieldStatus outlook_needed(const FactSource *source, const Outlook *outlook, int64_t wanted, int64_t *needed);
/* The last day on which to stick what is wanted by a day, counted back along the stages, each at its longest,
 * inside the window of sticking. DAY_NONE: there is none. */
Day outlook_latest(const FactSource *source, const Context *context, Day by);

/* How sure a nursery wants to be; 9/10 where it says nothing. */
Number nursery_sure(const Nursery *nursery);

#endif
