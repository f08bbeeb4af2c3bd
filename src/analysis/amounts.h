/* What a batch needs to have ready: medium by component, containers, labels, hormone solution, stock plants,
 * hours.
 *
 * Everything follows from what the batch and the nursery state; what is missing for a figure is named and the
 * figure left out. Figures are exact; only a writer rounds.
 */
#ifndef ANALYSIS_AMOUNTS_H
#define ANALYSIS_AMOUNTS_H

#include "analysis/survey.h"

typedef enum AmountKind {
    AMOUNT_CUTTINGS,
    AMOUNT_CONTAINERS,
    AMOUNT_MEDIUM, /* one component */
    AMOUNT_LABELS,
    AMOUNT_STOCK,    /* stock plants to cut from */
    AMOUNT_SOLUTION, /* the share of concentrate, or grams for a litre; `text` has it in words */
    AMOUNT_HOURS,    /* of taking and sticking; low .. high */
    AMOUNT_KINDS
} AmountKind;

typedef struct Amount {
    AmountKind kind;
    Name batch;
    Day day;             /* of sticking, as planned; DAY_NONE without dates */
    const char *what;    /* "peat", "tray-50", "IBA 1000 ppm quick-dip" */
    Dimension dimension; /* VOLUME, DURATION, NONE; SHARE for a solution */
    Number low, high;
    const char *text;    /* a solution's way to be made; else NULL */
    const char *formula; /* with the numbers put in */
} Amount;

/* A figure that cannot be reckoned. */
typedef struct AmountGap {
    AmountKind kind;
    Name batch;
    const char *missing; /* "nobody says its count" */
} AmountGap;

extern const char *const amount_kind_name[AMOUNT_KINDS];

typedef struct Amounts Amounts;

Amounts *amounts_new(Nursery *nursery);
SurveyVisit amounts_batch; /* `to` is Amounts */
const Amount *amounts_list(const Amounts *amounts, size_t *count);
const AmountGap *amounts_gaps(const Amounts *amounts, size_t *count);

/* Parts of water on one part of concentrate, and how to weigh a powder: what a working solution of so many
 * ppm is made of. Source: C1 V1 = C2 V2; grams = ppm x litres / 1,000 / purity, times the mass of salt for a
 * mass of acid. */
bool solution_of_concentrate(Number stock_ppm, Number wanted_ppm,
                             Number *share); /* false: the stock is weaker */
bool solution_of_powder(Number wanted_ppm, Number purity, Number acid_factor, Number *grams_per_litre);

#endif
