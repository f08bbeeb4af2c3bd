/* Costs of batches: see cost.h. */
#include "analysis/cost.h"

#include "analysis/amounts.h"
#include "analysis/occupancy.h"
#include "base/vec.h"

#include <string.h>

enum { HOUR = 3600, ML_OF_LITRE = 1000, WEEK = 7 };

const char *const cost_part_name[COST_PARTS] = {
    [COST_WORK] = "work",     [COST_CUTTINGS] = "cuttings", [COST_CONTAINERS] = "containers",
    [COST_MEDIUM] = "medium", [COST_PLACE] = "place",       [COST_ROYALTY] = "royalty"};

/* Hours of a batch's tasks. */
typedef struct TaskHours {
    double low, high;
    size_t untimed;
} TaskHours;

struct Costs {
    Nursery *nursery;
    VEC(TaskHours) hours; /* by the number of the batch's name */
    VEC(Cost) list;
};

Costs *costs_new(Nursery *nursery)
{
    Costs *costs = ARENA_NEW(nursery->arena, Costs);
    costs->nursery = nursery;
    return costs;
}

const Cost *costs_list(const Costs *costs, size_t *count)
{
    *count = costs->list.count;
    return costs->list.at;
}

static double value_of(Number number)
{
    return (double)number.num / (double)number.den;
}

static TaskHours *hours_of(Costs *costs, Slice batch)
{
    Name name = names_intern(costs->nursery->names, batch);
    while (costs->hours.count <= name->number) (void)VEC_ADD(costs->nursery->arena, &costs->hours);
    return &costs->hours.at[name->number];
}

bool costs_task(void *to, const WorkTask *task)
{
    TaskHours *hours = hours_of(to, task->batch);
    if (task->setting) return true; /* turning a dial takes nobody's time */
    if (!task->has_time) {
        hours->untimed++;
        return true;
    }
    hours->low += value_of(task->time_low) / HOUR;
    hours->high += value_of(task->time_high) / HOUR;
    return true;
}

/* ------------------------------------------------------------------ one batch */

static bool money_of(const Block *block, const Field *field, double *money)
{
    const Clause *clause = block ? block_clause(block, field) : NULL;
    if (!clause || !clause->reading || !clause->reading->numbers.count) return false;
    *money = value_of(intervals_hull(clause->reading->numbers).low.at);
    return true;
}

static void set(Cost *cost, CostPart part, double low, double high)
{
    cost->known[part] = true;
    cost->low[part] = low;
    cost->high[part] = high;
}

/* What the amounts of a batch say of one kind, added up. */
static double sum_of(const Amounts *amounts, AmountKind kind, bool high)
{
    size_t count;
    const Amount *list = amounts_list(amounts, &count);
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        if (list[i].kind == kind) sum += value_of(high ? list[i].high : list[i].low);
    return sum;
}

static bool has_gap(const Amounts *amounts, AmountKind kind, const char **missing)
{
    size_t count;
    const AmountGap *gaps = amounts_gaps(amounts, &count);
    for (size_t i = 0; i < count; i++) {
        if (gaps[i].kind != kind) continue;
        *missing = gaps[i].missing;
        return true;
    }
    return false;
}

static void take_work(const Costs *costs, const Amounts *amounts, const TaskHours *hours, Cost *cost)
{
    double wage;
    if (!money_of(costs->nursery->self, FIELD_ROW(WAGE), &wage)) {
        cost->missing[COST_WORK] = "nobody says the wage of an hour";
        return;
    }
    set(cost, COST_WORK, wage * (hours->low + sum_of(amounts, AMOUNT_HOURS, false) / HOUR),
        wage * (hours->high + sum_of(amounts, AMOUNT_HOURS, true) / HOUR));
    if (hours->untimed) cost->missing[COST_WORK] = "nobody says how long some of its tasks take";
}

static void take_containers(const SurveyBatch *batch, Cost *cost)
{
    const Block *container = batch->subject->context->container;
    double price;
    if (!container || !batch->size.has_trays)
        cost->missing[COST_CONTAINERS] = "nobody says how many of which container";
    else if (!money_of(container, FIELD_ROW(PRICE), &price))
        cost->missing[COST_CONTAINERS] = "nobody says the price of its container";
    else
        set(cost, COST_CONTAINERS, price * (double)batch->size.trays, price * (double)batch->size.trays);
}

static void take_medium(const Costs *costs, const Amounts *amounts, Cost *cost)
{
    double price, litres = sum_of(amounts, AMOUNT_MEDIUM, false) / ML_OF_LITRE;
    if (has_gap(amounts, AMOUNT_MEDIUM, &cost->missing[COST_MEDIUM])) return;
    if (!money_of(costs->nursery->self, FIELD_ROW(MEDIUM_PRICE), &price))
        cost->missing[COST_MEDIUM] = "nobody says the price of a litre of medium";
    else
        set(cost, COST_MEDIUM, price * litres, price * litres);
}

/* A share of what the place costs, for as long as it is planned to stand there. */
static void take_place(const FactSource *source, const SurveyBatch *batch, Cost *cost)
{
    size_t count;
    const Stay *stays = batch->dated ? stays_of(source, batch->subject, &count) : NULL;
    const Block *container = batch->subject->context->container;
    double money = 0;
    bool any = false;
    for (size_t i = 0; stays && i < count; i++) {
        double rent;
        int64_t holds = container ? place_holds(stays[i].place, container) : 0;
        if (!money_of(stays[i].place, FIELD_ROW(RENT), &rent)) {
            cost->missing[COST_PLACE] =
                arena_print(source->lasting, "nobody says the rent of %s", stays[i].place->name->text);
        } else if (!holds || !batch->size.has_trays) {
            cost->missing[COST_PLACE] = arena_print(source->lasting, "nobody says what part of %s it takes",
                                                    stays[i].place->name->text);
        } else {
            double weeks = (double)(stays[i].planned.leave - stays[i].planned.first) / WEEK;
            money += rent * (double)batch->size.trays / (double)holds * weeks;
            any = true;
        }
    }
    if (any) set(cost, COST_PLACE, money, money);
    if (!any && !cost->missing[COST_PLACE])
        cost->missing[COST_PLACE] = "nobody says where it stands, or when";
}

static void take_plants(const SurveyBatch *batch, Cost *cost)
{
    const Block *variety = batch->subject->context->variety;
    double price;
    if (money_of(variety, FIELD_ROW(CUTTING_PRICE), &price) && batch->size.has_count)
        set(cost, COST_CUTTINGS, price * (double)batch->size.count, price * (double)batch->size.count);
    if (money_of(variety, FIELD_ROW(ROYALTY), &price))
        set(cost, COST_ROYALTY, price * cost->finished, price * cost->finished);
    cost->has_buy_in = money_of(variety, FIELD_ROW(BUY_IN), &cost->buy_in);
}

/* ------------------------------------------------------------------ a finished plant */

/* The rate below which it does not pay, and the share that is left where that rate is counted. */
static void take_pays(const SurveyBatch *batch, const Forecast *forecast, Cost *cost)
{
    const Block *finish = protocol_section(batch->subject->protocol, BLOCK_FINISH);
    const Clause *clause = finish ? block_clause(finish, FIELD_ROW(PAYS)) : NULL;
    if (!clause || !clause->reading || !clause->reading->numbers.count || forecast->missing) return;
    Interval rate = intervals_hull(clause->reading->numbers);
    if (rate.low.unbounded) return;
    for (size_t i = 0; i < forecast->stage_count; i++) {
        if (!slice_starts(name_slice(clause->reading->per), forecast->stages[i].name)) continue;
        cost->has_pays = true;
        cost->pays = value_of(rate.low.at);
        cost->rate = forecast->stages[i].mean;
    }
}

static void add_up(Cost *cost)
{
    for (int part = 0; part < COST_PARTS; part++) {
        cost->total_low += cost->known[part] ? cost->low[part] : 0;
        cost->total_high += cost->known[part] ? cost->high[part] : 0;
    }
    if (cost->no_figures) return;
    if (cost->finished_low < 1) {
        cost->no_figures = "in one of twenty batches nothing is left";
        return;
    }
    cost->each_low = cost->total_low / cost->finished_high;
    cost->each = (cost->total_low + cost->total_high) / 2 / cost->finished;
    cost->each_high = cost->total_high / cost->finished_low;
}

void costs_batch(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Costs *costs = to;
    Cost cost = {.batch = names_intern(costs->nursery->names, batch->id)};
    Forecast forecast = forecast_of(source, NULL, batch);
    Amounts *amounts = amounts_new(costs->nursery);
    amounts_batch(amounts, source, batch);
    if (forecast.missing)
        cost.no_figures = arena_print(source->lasting, "nobody says %s", forecast.missing);
    else if (!forecast.has_count)
        cost.no_figures = "nobody says its count";
    cost.finished_low = (double)forecast.low;
    cost.finished = forecast.expected;
    cost.finished_high = (double)forecast.high;
    TaskHours hours = *hours_of(costs, batch->id);
    take_work(costs, amounts, &hours, &cost);
    take_containers(batch, &cost);
    take_medium(costs, amounts, &cost);
    take_place(source, batch, &cost);
    take_plants(batch, &cost);
    take_pays(batch, &forecast, &cost);
    add_up(&cost);
    VEC_PUSH(costs->nursery->arena, &costs->list, cost);
}
