/* What a finished plant costs: work, material, the place it stands in, what is owed, failures included;
 * beside what it would cost to buy it in.
 *
 * All of a batch's cost is shared by those that are finished. The range comes from the times of work and from
 * the spread of what comes through (5 % and 95 % points). What nobody states is named and left out, so that a
 * cost is then a least cost. Money is the nursery's currency; nothing is converted.
 */
#ifndef ANALYSIS_COST_H
#define ANALYSIS_COST_H

#include "analysis/forecast.h"
#include "analysis/work.h"

typedef enum CostPart {
    COST_WORK,
    COST_CUTTINGS,
    COST_CONTAINERS,
    COST_MEDIUM,
    COST_PLACE,
    COST_ROYALTY,
    COST_PARTS
} CostPart;
extern const char *const cost_part_name[COST_PARTS];

typedef struct Cost {
    Name batch;
    double low[COST_PARTS], high[COST_PARTS]; /* of the batch; ROYALTY of those finished on average */
    bool known[COST_PARTS];
    const char *missing[COST_PARTS]; /* why not, where it is not; NULL where there is no such cost */
    const char *no_figures;          /* why there is no cost of a plant; NULL: there is */
    double total_low, total_high;
    double finished_low, finished, finished_high;
    double each_low, each, each_high; /* of a finished plant */
    bool has_buy_in;
    double buy_in;
    bool has_pays;     /* the protocol says below which rate it does not pay */
    double pays, rate; /* … and what is expected of that rate, as shares */
} Cost;

typedef struct Costs Costs;

Costs *costs_new(Nursery *nursery);
WorkSink costs_task;     /* `to` is Costs: times of tasks; all of them before … */
SurveyVisit costs_batch; /* … the batches */
const Cost *costs_list(const Costs *costs, size_t *count);

#endif
