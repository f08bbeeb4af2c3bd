/* What batches came to, beside what was promised: the records of a protocol, a season, a place or a plant.
 *
 * Two things are asked: how many of those stuck rooted, by the full count that found most, and how many were
 * finished, of batches that have ended; what was given up came to nothing. Cuttings that went on as another
 * batch before the count are not held against the one they left. Batches without such a count are left out,
 * and how many these are is said. Totals are total over total. Nothing here changes a protocol.
 */
#ifndef ANALYSIS_REVIEW_H
#define ANALYSIS_REVIEW_H

#include "analysis/ledger.h"
#include "analysis/outlook.h"
#include "analysis/promise.h"
#include "analysis/survey.h"

typedef enum ReviewMeasure { REVIEW_ROOTED, REVIEW_FINISHED, REVIEW_MEASURES } ReviewMeasure;

/* What groups a protocol's batches. */
typedef enum ReviewBy {
    REVIEW_BY_PROTOCOL,
    REVIEW_BY_YEAR,
    REVIEW_BY_PLACE,
    REVIEW_BY_PLANT,
    REVIEW_BY_VERSION,
    REVIEW_BYS
} ReviewBy;

/* One measure of one group. */
typedef struct ReviewFigure {
    size_t left_out; /* batches that were stuck, and of which it is not known … */
    size_t lost;     /* … so many of them were given up, with so many stuck: as nothing they would count */
    int64_t lost_stuck;
    size_t given_up; /* of those counted: as nothing */
    Spread spread;   /* of the others; `batches` 0: there are none, and nothing below is set */
    Bounds bounds;   /* where the share lies, with the chance REVIEW_SURE */
    bool judged;     /* something is promised, by stated losses or rates, … */
    size_t held;     /* … and so many batches were held against it */
    bool promised;   /* and the same of all its batches */
    double promised_mean, promised_low, promised_high;
    PromiseVerdict verdict;
    double chance;     /* that batches such as were promised come out so far off, or further */
    bool supported;    /* there are enough for a range of their own … */
    Bounds range;      /* … of shares, which nine of ten batches lie in */
    bool compared;     /* what it is compared with has the measure too */
    Bounds difference; /* where the true difference to it lies, this one less that, with REVIEW_SURE */
    double points;     /* the one that was counted */
} ReviewFigure;

typedef struct ReviewGroup {
    const Protocol *protocol;
    const char *value;  /* the year, place or plant; "" */
    const char *beside; /* what it is compared with: the value before it, or the other protocol; NULL: nothing
                         */
    size_t batches;     /* that were stuck, by record */
    int64_t stuck;
    ReviewFigure figures[REVIEW_MEASURES];
} ReviewGroup;

#define REVIEW_SURE 0.95

/* A protocol said something else from a day on. */
typedef struct ReviewVersion {
    Name protocol;
    Day since;
    const char *label;                    /* in the order of days when put in the order of letters */
    YieldStages promise[REVIEW_MEASURES]; /* what it promised; no stage: nothing */
} ReviewVersion;

typedef struct ReviewVersions {
    const ReviewVersion *at; /* of all protocols, each one's in the order of its days */
    size_t count;
} ReviewVersions;

typedef struct ReviewAsked {
    ReviewBy by;
    ReviewVersions versions; /* BY_VERSION: a batch follows the one that stood when it was stuck */
    int season;              /* only batches stuck in that year; 0: all */
    Name beside; /* groups of other protocols are compared with those of this one, value for value; NULL: each
                    with the one before it of its own protocol */
} ReviewAsked;

typedef struct Review Review;

Review *review_new(Arena *arena, Nursery *nursery, const ReviewAsked *asked);
/* The stages of an outlook that promise a measure; none: they do not. */
YieldStages review_promise(const Outlook *outlook, const Protocol *protocol, ReviewMeasure measure);
SurveyVisit review_batch; /* for a survey; `to` is the review */
/* By protocol, then by value; *count of them. */
const ReviewGroup *review_finish(Review *review, size_t *count);
/* Batches that nobody recorded as stuck. */
size_t review_unrecorded(const Review *review);

#endif
