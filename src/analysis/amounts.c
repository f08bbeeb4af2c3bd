/* Amounts of one batch after the other: see amounts.h. */
#include "analysis/amounts.h"

#include "base/vec.h"

enum { PPM_OF_LITRE = 1000, HOUR = 3600, ML_OF_LITRE = 1000 };

const char *const amount_kind_name[AMOUNT_KINDS] = {
    [AMOUNT_CUTTINGS] = "cuttings", [AMOUNT_CONTAINERS] = "containers", [AMOUNT_MEDIUM] = "medium",
    [AMOUNT_LABELS] = "labels",     [AMOUNT_STOCK] = "stock plants",    [AMOUNT_SOLUTION] = "solution",
    [AMOUNT_HOURS] = "hours"};

struct Amounts {
    Nursery *nursery;
    VEC(Amount) list;
    VEC(AmountGap) gaps;
};

Amounts *amounts_new(Nursery *nursery)
{
    Amounts *amounts = ARENA_NEW(nursery->arena, Amounts);
    amounts->nursery = nursery;
    return amounts;
}

const Amount *amounts_list(const Amounts *amounts, size_t *count)
{
    *count = amounts->list.count;
    return amounts->list.at;
}

const AmountGap *amounts_gaps(const Amounts *amounts, size_t *count)
{
    *count = amounts->gaps.count;
    return amounts->gaps.at;
}

/* ------------------------------------------------------------------ one batch at hand */

typedef struct Hand {
    Amounts *amounts;
    Arena *arena;
    const SurveyBatch *batch;
    Name id;
    Day day;
} Hand;

static Amount *add(const Hand *hand, AmountKind kind, const char *what, Dimension dimension, Number low,
                   Number high)
{
    Amount *amount = VEC_ADD(hand->arena, &hand->amounts->list);
    *amount = (Amount){.kind = kind,
                       .batch = hand->id,
                       .day = hand->day,
                       .what = what,
                       .dimension = dimension,
                       .low = low,
                       .high = high,
                       .formula = ""};
    return amount;
}

static void lacks(const Hand *hand, AmountKind kind, const char *missing)
{
    VEC_PUSH(hand->arena, &hand->amounts->gaps, ((AmountGap){kind, hand->id, missing}));
}

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block ? block_clause(block, field) : NULL;
    return clause ? clause->reading : NULL;
}

static bool one_number(const Reading *reading, Number *number)
{
    if (!reading || reading->numbers.count != 1 || !interval_is_point(reading->numbers.at[0])) return false;
    *number = reading->numbers.at[0].low.at;
    return true;
}

/* What the batch says, else what its protocol leaves no choice of. */
static const Reading *settled(const Hand *hand, const Field *field)
{
    const Subject *subject = hand->batch->subject;
    const Reading *cell = plan_cell(subject->plan, subject->row, field);
    if (cell) return cell == &reading_spoiled ? NULL : cell;
    const Clause *limit = protocol_limit(subject->protocol, field);
    return limit && limit->reading && limit_is_one_value(limit->reading) ? limit->reading : NULL;
}

static const char *number_text(Arena *arena, Number number)
{
    char text[48];
    return arena_copy(arena, text, number_write(text, sizeof text, number));
}

/* ------------------------------------------------------------------ medium */

/* Of one container: its cells, else what its inside holds to the depth to which it is filled. */
static bool container_volume(const Hand *hand, Number *millilitres, const char **formula)
{
    const Block *container = hand->batch->subject->context->container;
    const Reading *inside = said(container, FIELD_ROW(INSIDE)), *filled = settled(hand, FIELD_ROW(FILLED));
    Number volume, depth, area;
    if (one_number(said(container, FIELD_ROW(VOLUME)), &volume)) {
        int64_t cells = hand->batch->size.cells ? hand->batch->size.cells : 1;
        *formula =
            arena_print(hand->arena, "%lld x %s mL", (long long)cells, number_text(hand->arena, volume));
        return number_multiply(volume, NUMBER(cells), millilitres);
    }
    if (!inside || inside->side_count < 2 || !one_number(filled, &depth)) return false;
    if (!number_multiply(inside->sides[0], inside->sides[1], &area) || !number_multiply(area, depth, &volume))
        return false;
    *formula = arena_print(hand->arena, "%s x %s x %s mm", number_text(hand->arena, inside->sides[0]),
                           number_text(hand->arena, inside->sides[1]), number_text(hand->arena, depth));
    return number_divide(volume, NUMBER(ML_OF_LITRE), millilitres); /* a cubic millimetre is a thousandth */
}

/* What is bought for what is filled: it settles, and parts fill each other's gaps. */
static Number with_settling(const Hand *hand, Number volume, const char **formula)
{
    const Block *self = hand->amounts->nursery->self;
    Number share, more, sum;
    if (!one_number(said(self, FIELD_ROW(SETTLING)), &share) || !number_multiply(volume, share, &more) ||
        !number_add(volume, more, &sum))
        return volume;
    *formula =
        arena_print(hand->arena, "%s, and %s of it more for settling", *formula,
                    reading_print(hand->arena, FIELD_ROW(SETTLING), said(self, FIELD_ROW(SETTLING)), NULL));
    return sum;
}

static void take_medium(const Hand *hand)
{
    const Reading *mix = settled(hand, FIELD_ROW(MEDIUM));
    Number one, volume, parts = NUMBER(0);
    const char *formula;
    if (!mix || !mix->mix_count || !hand->batch->size.has_trays ||
        !hand->batch->subject->context->container) {
        lacks(hand, AMOUNT_MEDIUM,
              !mix || !mix->mix_count ? "nobody says which medium"
                                      : "nobody says how many of which container");
        return;
    }
    if (!container_volume(hand, &one, &formula) ||
        !number_multiply(one, NUMBER(hand->batch->size.trays), &volume)) {
        lacks(hand, AMOUNT_MEDIUM,
              "nobody says the volume of its container, or its inside and how deep it is filled");
        return;
    }
    formula = arena_print(hand->arena, "%lld x %s", (long long)hand->batch->size.trays, formula);
    volume = with_settling(hand, volume, &formula);
    for (size_t i = 0; i < mix->mix_count; i++)
        if (!number_add(parts, mix->mix[i].parts, &parts)) return;
    for (size_t i = 0; i < mix->mix_count; i++) {
        Number share, part;
        if (!number_divide(mix->mix[i].parts, parts, &share) || !number_multiply(volume, share, &part))
            continue;
        add(hand, AMOUNT_MEDIUM, mix->mix[i].component->text, DIM_VOLUME, part, part)->formula =
            arena_print(hand->arena, "%s of %s parts of (%s)", number_text(hand->arena, mix->mix[i].parts),
                        number_text(hand->arena, parts), formula);
    }
}

/* ------------------------------------------------------------------ containers, labels, stock plants */

static void take_containers(const Hand *hand)
{
    const Block *container = hand->batch->subject->context->container,
                *variety = hand->batch->subject->context->variety;
    const BatchSize *size = &hand->batch->size;
    if (size->has_count) add(hand, AMOUNT_CUTTINGS, "", DIM_NONE, NUMBER(size->count), NUMBER(size->count));
    if (!size->has_count) lacks(hand, AMOUNT_CUTTINGS, "nobody says its count");
    if (!size->has_trays || !container) {
        lacks(hand, AMOUNT_CONTAINERS,
              container ? "nobody says its count, or the cells of its container"
                        : "nobody says its container");
        return;
    }
    add(hand, AMOUNT_CONTAINERS, container->name->text, DIM_NONE, NUMBER(size->trays), NUMBER(size->trays))
        ->formula =
        size->each > size->cells
            ? arena_print(hand->arena, "count / %lld in one, up to whole ones", (long long)size->each)
        : size->cells
            ? arena_print(hand->arena, "count / %lld cells, up to whole ones", (long long)size->cells)
            : "as stated";
    bool each = variety && clause_is(block_clause(variety, FIELD_ROW(LABEL)), "yes") && size->has_count;
    int64_t labels = each ? size->count : size->trays;
    add(hand, AMOUNT_LABELS, "", DIM_NONE, NUMBER(labels), NUMBER(labels))->formula =
        each ? "one a plant: its variety asks for it" : "one a container";
}

static void take_stock(const Hand *hand)
{
    const Reading *material = settled(hand, FIELD_ROW(MATERIAL));
    const Block *stock = material && material->word_count
                             ? nursery_find(hand->amounts->nursery, BLOCK_STOCK, material->words[0].name)
                             : NULL;
    const Reading *gives = said(stock, FIELD_ROW(GIVES));
    Interval each = gives && gives->numbers.count ? intervals_hull(gives->numbers) : interval_everything();
    Number least, most;
    if (!stock) return; /* bought in, or nobody says from where */
    if (!hand->batch->size.has_count || each.low.unbounded || each.high.unbounded || each.low.at.num <= 0) {
        lacks(hand, AMOUNT_STOCK,
              hand->batch->size.has_count ? "nobody says how many cuttings a stock plant gives"
                                          : "nobody says its count");
        return;
    }
    Number count = NUMBER(hand->batch->size.count);
    if (!number_divide(count, each.high.at, &least) || !number_divide(count, each.low.at, &most)) return;
    add(hand, AMOUNT_STOCK, stock->name->text, DIM_NONE, NUMBER(number_ceil(least)),
        NUMBER(number_ceil(most)))
        ->formula = arena_print(hand->arena, "count / %s, up to whole ones",
                                reading_print(hand->arena, FIELD_ROW(GIVES), gives, NULL));
}

/* ------------------------------------------------------------------ hormone */

bool solution_of_concentrate(Number stock_ppm, Number wanted_ppm, Number *share)
{
    return stock_ppm.num > 0 && number_compare(wanted_ppm, stock_ppm) <= 0 &&
           number_divide(wanted_ppm, stock_ppm, share);
}

bool solution_of_powder(Number wanted_ppm, Number purity, Number acid_factor, Number *grams_per_litre)
{
    Number grams, pure;
    return purity.num > 0 && number_divide(wanted_ppm, NUMBER(PPM_OF_LITRE), &grams) &&
           number_divide(grams, purity, &pure) && number_multiply(pure, acid_factor, grams_per_litre);
}

static bool contains(Arena *arena, const Block *substance, Name auxin)
{
    const Reading *words = said(substance, FIELD_ROW(CONTAINS));
    const char *joined = "";
    for (size_t i = 0; words && i < words->word_count; i++)
        joined = arena_print(arena, "%s%s%s", joined, *joined ? "+" : "", words->words[i].name->text);
    return slice_is(name_slice(auxin), joined);
}

/* One part of concentrate on so many of water, and the same by the litre. */
static void dilute(const Hand *hand, const Block *substance, Number stock, Number wanted, const char *what)
{
    Number share, whole, water, millilitres;
    if (!solution_of_concentrate(stock, wanted, &share)) {
        lacks(hand, AMOUNT_SOLUTION,
              arena_print(hand->arena, "%s is weaker than %s", substance->name->text, what));
        return;
    }
    if (!number_divide(NUMBER(1), share, &whole) || !number_subtract(whole, NUMBER(1), &water) ||
        !number_multiply(share, NUMBER(ML_OF_LITRE), &millilitres))
        return;
    const char *parts = number_text(hand->arena, water), *volume = number_text(hand->arena, millilitres);
    Amount *amount = add(hand, AMOUNT_SOLUTION, what, DIM_SHARE, share, share);
    amount->text = arena_print(hand->arena, "1 + %s of %s, %s mL filled up to a litre", parts,
                               substance->name->text, volume);
    amount->formula = arena_print(hand->arena, "%s ppm / %s ppm", number_text(hand->arena, wanted),
                                  number_text(hand->arena, stock));
}

static void weigh(const Hand *hand, const Block *substance, Number purity, Number wanted, const char *what)
{
    Number factor = NUMBER(1), grams;
    bool salt = one_number(said(substance, FIELD_ROW(ACID_FACTOR)), &factor);
    if (!solution_of_powder(wanted, purity, factor, &grams)) return;
    Amount *amount = add(hand, AMOUNT_SOLUTION, what, DIM_MASS, grams, grams);
    amount->text = arena_print(hand->arena, "%s, weighed for a litre", substance->name->text);
    amount->formula = arena_print(hand->arena, "%s ppm / 1,000 / purity%s", number_text(hand->arena, wanted),
                                  salt ? " x acid-factor" : "");
}

static bool makes(const Block *substance, Name form)
{
    const Reading *forms = said(substance, FIELD_ROW(MAKES));
    for (size_t i = 0; forms && i < forms->word_count; i++)
        if (forms->words[i].name == form) return true;
    return false;
}

/* Only what a substance says it makes: what comes ready is not mixed. */
static void take_hormone(const Hand *hand)
{
    const Subject *subject = hand->batch->subject;
    const Reading *hormone = plan_cell(subject->plan, subject->row, FIELD_ROW(HORMONE));
    if (!hormone || hormone == &reading_spoiled || hormone->dose_count != 1 || hormone->doses[0].none) return;
    const Dose *dose = &hormone->doses[0];
    if (!interval_is_point(dose->strength)) return;
    const char *what = reading_print(hand->arena, FIELD_ROW(HORMONE), hormone, NULL);
    const BlockList *substances = &hand->amounts->nursery->lists[BLOCK_SUBSTANCE];
    for (size_t i = 0; i < substances->count; i++) {
        const Block *substance = substances->at[i];
        Number figure;
        if (!contains(hand->arena, substance, dose->auxin) || !makes(substance, dose->form)) continue;
        if (one_number(said(substance, FIELD_ROW(CONCENTRATION)), &figure))
            dilute(hand, substance, figure, dose->strength.low.at, what);
        else if (one_number(said(substance, FIELD_ROW(PURITY)), &figure))
            weigh(hand, substance, figure, dose->strength.low.at, what);
        else
            lacks(
                hand, AMOUNT_SOLUTION,
                arena_print(hand->arena, "nobody says how strong or how pure %s is", substance->name->text));
    }
}

/* ------------------------------------------------------------------ hours */

static void take_hours(const Hand *hand, BlockKind section)
{
    const Reading *work = said(protocol_section(hand->batch->subject->protocol, section), FIELD_ROW(WORK));
    Number seconds, low, high;
    if (!work || !work->numbers.count) return;
    if (!hand->batch->size.has_count) {
        lacks(hand, AMOUNT_HOURS, "nobody says its count");
        return;
    }
    Interval rate = intervals_hull(work->numbers);
    if (rate.low.unbounded) rate.low = rate.high;
    if (rate.high.unbounded) rate.high = rate.low;
    if (!number_multiply(NUMBER(hand->batch->size.count), NUMBER(HOUR), &seconds) ||
        !number_divide(seconds, rate.high.at, &low) || !number_divide(seconds, rate.low.at, &high))
        return;
    add(hand, AMOUNT_HOURS, block_types[section].spelling, DIM_DURATION, low, high)->formula =
        arena_print(hand->arena, "count / %s", reading_print(hand->arena, FIELD_ROW(WORK), work, NULL));
}

/* ------------------------------------------------------------------ the whole */

void amounts_batch(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Amounts *amounts = to;
    (void)source;
    Hand hand = {amounts, amounts->nursery->arena, batch, names_intern(amounts->nursery->names, batch->id),
                 batch->dated ? batch->subject->timeline->stick.on[RUN_PLANNED] : DAY_NONE};
    take_containers(&hand);
    take_medium(&hand);
    take_hormone(&hand);
    take_stock(&hand);
    take_hours(&hand, BLOCK_TAKE);
    take_hours(&hand, BLOCK_STICK);
}
