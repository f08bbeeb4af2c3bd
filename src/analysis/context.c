/* From the names in a batch to the blocks they mean. */
#include "analysis/context.h"

#include "base/vec.h"
#include "model/site.h"

enum { CONTEXT_SLOTS = 1024, REMEMBERED_SLOTS = 256, REFERENCES = 4 };

/* What a batch says of what it refers to, and what came of it: equal cells of a plan share one reading. */
typedef struct Remembered {
    const Reading *cells[REFERENCES];
    uint32_t generation;
    bool used;
    Context *context;
} Remembered;

typedef struct SiteCalendar {
    const Block *site;
    const Calendar *calendar;
} SiteCalendar;

struct Contexts {
    const FactSource *source;
    VEC(Context *) slots[CONTEXT_SLOTS]; /* by hash of what is referred to */
    VEC(SiteCalendar) calendars;
    Remembered remembered[REMEMBERED_SLOTS];
};

Contexts *contexts_new(const FactSource *source)
{
    Contexts *contexts = ARENA_NEW(source->lasting, Contexts);
    contexts->source = source;
    return contexts;
}

static const Calendar *calendar_of(Contexts *contexts, const Block *site)
{
    for (size_t i = 0; i < contexts->calendars.count; i++)
        if (contexts->calendars.at[i].site == site) return contexts->calendars.at[i].calendar;
    const Calendar *calendar = site_calendar(contexts->source->nursery, site);
    VEC_PUSH(contexts->source->lasting, &contexts->calendars, ((SiteCalendar){site, calendar}));
    return calendar;
}

/* Where it stands when it is stuck: the standing from `stick`, or from nothing in particular, else the first.
 */
static Name place_at_sticking(const Reading *stands)
{
    for (size_t i = 0; i < stands->standing_count; i++)
        if (!stands->standings[i].from || slice_is(name_slice(stands->standings[i].from), "stick"))
            return stands->standings[i].place;
    return stands->standing_count ? stands->standings[0].place : NULL;
}

static const Reading *good(const Reading *reading)
{
    return reading == &reading_spoiled ? NULL : reading;
}

static const Block *container_of(const Contexts *contexts, const Protocol *protocol, const Reading *into)
{
    if (!into) {
        const Clause *limit = protocol_limit(protocol, FIELD_ROW(INTO));
        into = limit ? limit->reading : NULL;
    }
    if (!into || into->word_count != 1) return NULL;
    return nursery_find(contexts->source->nursery, BLOCK_CONTAINER, into->words[0].name);
}

static void take_species(const FactSource *source, Context *context)
{
    const Block *species = NULL;
    for (size_t i = 0; i < CONTEXT_SPECIES; i++) {
        species = nursery_species(source->nursery, context->taxon, context->taxon_count, species);
        if (!species) break;
        context->species[i] = species;
    }
}

static void take_plant(const Contexts *contexts, Context *context, const Reading *plant)
{
    const Nursery *nursery = contexts->source->nursery;
    if (!plant || !plant->word_count) return;
    if (plant->word_count == 1) context->variety = nursery_find(nursery, BLOCK_VARIETY, plant->words[0].name);
    const Clause *species = context->variety ? block_clause(context->variety, FIELD_ROW(SPECIES)) : NULL;
    if (species && species->reading) plant = species->reading;
    if (context->variety && !species) return;
    context->taxon = plant->words;
    context->taxon_count = plant->word_count;
}

void context_complete(const FactSource *source, Context *context)
{
    context->facts = ARENA_ARRAY(source->lasting, const Fact *, FIELD_COUNT_LIMIT);
    if (!context->calendar) context->calendar = site_calendar(source->nursery, context->site);
}

static size_t slot_of(const Context *context)
{
    uintptr_t mixed = (uintptr_t)context->protocol;
    mixed = mixed * 31 + (uintptr_t)context->container;
    mixed = mixed * 31 + (uintptr_t)context->place;
    mixed = mixed * 31 + (uintptr_t)context->variety;
    mixed = mixed * 31 + (uintptr_t)context->species[0];
    return (mixed >> 4) % CONTEXT_SLOTS;
}

static bool same_taxon(const Context *a, const Context *b)
{
    if (a->taxon_count != b->taxon_count) return false;
    for (size_t i = 0; i < a->taxon_count; i++)
        if (a->taxon[i].name != b->taxon[i].name) return false;
    return true;
}

static Context *kept(Contexts *contexts, const Context *found)
{
    size_t slot = slot_of(found);
    for (size_t i = 0; i < contexts->slots[slot].count; i++) {
        Context *known = contexts->slots[slot].at[i];
        if (known->protocol == found->protocol && known->container == found->container &&
            known->place == found->place && known->variety == found->variety && same_taxon(known, found))
            return known;
    }
    Context *context = ARENA_NEW(contexts->source->lasting, Context);
    *context = *found;
    Word *taxon =
        ARENA_ARRAY(contexts->source->lasting, Word, found->taxon_count); /* readings of a table pass */
    if (found->taxon_count) memcpy(taxon, found->taxon, found->taxon_count * sizeof *taxon);
    context->taxon = taxon;
    take_species(contexts->source, context);
    context_complete(contexts->source, context);
    VEC_PUSH(contexts->source->lasting, &contexts->slots[slot], context);
    return context;
}

static Context *make_of_row(Contexts *contexts, const Reading *const cells[REFERENCES])
{
    const Reading *follow = good(cells[0]), *stands = good(cells[2]);
    const Protocol *protocol =
        follow ? nursery_protocol(contexts->source->nursery, follow->words[0].name) : NULL;
    if (!protocol || !protocol->effective || !protocol->schedule) return NULL;
    Context context = {.protocol = protocol, .container = container_of(contexts, protocol, good(cells[3]))};
    Name place = stands ? place_at_sticking(stands) : NULL;
    if (place) context.place = nursery_find(contexts->source->nursery, BLOCK_PLACE, place);
    context.site = site_of_place(contexts->source->nursery, context.place);
    context.calendar = calendar_of(contexts, context.site);
    take_plant(contexts, &context, good(cells[1]));
    return kept(contexts, &context);
}

Context *contexts_of_row(Contexts *contexts, const Plan *plan, size_t row)
{
    const Reading *cells[REFERENCES] = {
        plan_cell(plan, row, FIELD_ROW(FOLLOW)), plan_cell(plan, row, FIELD_ROW(PLANT_OF_BATCH)),
        plan_cell(plan, row, FIELD_ROW(STANDS_OF_BATCH)), plan_cell(plan, row, FIELD_ROW(INTO))};
    if (plan->blocks)
        return make_of_row(contexts, cells); /* names in blocks have places, and share nothing */
    uintptr_t mixed = 0;
    for (int i = 0; i < REFERENCES; i++) mixed = mixed * 1000003U + ((uintptr_t)cells[i] >> 4);
    Remembered *remembered = &contexts->remembered[(mixed ^ mixed >> 17) % REMEMBERED_SLOTS];
    if (remembered->used && remembered->generation == plan->generation &&
        !memcmp(cells, remembered->cells, sizeof cells))
        return remembered->context;
    memcpy(remembered->cells, cells, sizeof cells);
    remembered->generation = plan->generation;
    remembered->used = true;
    remembered->context = make_of_row(contexts, cells);
    return remembered->context;
}

Subject subject_of_batch(Context *context, const Plan *plan, size_t row)
{
    return (Subject){.scope = SCOPE_BATCH,
                     .plan = plan,
                     .row = row,
                     .context = context,
                     .protocol = context->protocol,
                     .record = plan->records ? plan->records[row] : NULL};
}

Context *contexts_of_plant(Contexts *contexts, const Protocol *protocol, const Reading *taxon)
{
    Context context = {.protocol = protocol, .container = container_of(contexts, protocol, NULL)};
    context.site = site_of_place(contexts->source->nursery, NULL);
    context.calendar = calendar_of(contexts, context.site);
    if (taxon) {
        context.taxon = taxon->words;
        context.taxon_count = taxon->word_count;
    }
    return kept(contexts, &context);
}

Context *contexts_of_protocol(Contexts *contexts, const Protocol *protocol)
{
    const Clause *taxon = block_clause(protocol->effective, FIELD_ROW(FOR));
    return contexts_of_plant(contexts, protocol, taxon ? taxon->reading : NULL);
}

const Field *context_reference(const Context *context, const Block *block)
{
    if (!block) return NULL;
    if (block == context->place || block == context->site) return FIELD_ROW(STANDS_OF_BATCH);
    if (block == context->container) return FIELD_ROW(INTO);
    if (block == context->variety) return FIELD_ROW(PLANT_OF_BATCH);
    for (size_t i = 0; i < CONTEXT_SPECIES && context->species[i]; i++)
        if (block == context->species[i]) return FIELD_ROW(PLANT_OF_BATCH);
    return NULL;
}

const char *context_plant(Arena *arena, const Context *context, const Reading *plant)
{
    if (context->variety && context->variety->title.length)
        return arena_copy(arena, context->variety->title.at, context->variety->title.length);
    return plant && plant != &reading_spoiled ? reading_print(arena, FIELD_ROW(PLANT_OF_BATCH), plant, NULL)
                                              : "";
}
