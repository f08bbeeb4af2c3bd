/* Places that hold more than they can: told once a place, with the first day, who stands there, and from when
 * the last that came would have room. */
#include "analysis/lint_work.h"

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

static const char *remedy(Arena *arena, const OverFull *over)
{
    if (!over->last) return NULL;
    if (over->fits == DAY_NONE)
        return arena_print(arena, "%s finds no room there within a year", over->last->batch->text);
    return arena_print(arena, "%s would have room from %s on", over->last->batch->text,
                       day_text(arena, over->fits));
}

static void tell(Lint *lint, const OverFull *over)
{
    Arena *arena = lint->nursery->arena;
    const Block *place = over->at->place;
    bool sure = over->certainty == CERTAINTY_SURE;
    Fault *fault = faults_add(lint->faults);
    fault->rank = RANK_RULE;
    fault->severity = sure ? SEVERITY_WARNING : SEVERITY_NOTE;
    fault->name = "over-full";
    fault->subject = place->id;
    fault->value = arena_print(arena, "%s", day_text(arena, over->first));
    fault->message = arena_print(arena, "%s is %s full on %zu %s, from %s on", place->name->text,
                                 sure ? "over" : "perhaps over", over->days, over->days == 1 ? "day" : "days",
                                 day_text(arena, over->first));
    fault->found =
        arena_print(arena, "%.0f %% of full on %s; there from the first day: %s",
                    (double)over->share.num / (double)over->share.den * 100, day_text(arena, over->worst),
                    occupancy_names(arena, over->at, over->certainty, over->first));
    fault->instead = slice_of(remedy(arena, over));
    fault->place = place->name_span;
    fault->accepts = place;
}

void places_report(Lint *lint)
{
    size_t count;
    const PlaceOccupancy *places = occupancy_places(lint->occupancy, &count);
    for (size_t i = 0; i < count; i++) {
        const PlaceOccupancy *place = &places[i];
        OverFull over;
        if (!place_can_be_filled(place->place)) continue;
        bool told = place->span_count && occupancy_over(place, &over);
        bool sure = told && over.certainty == CERTAINTY_SURE, known = !place->uncounted && !place->unread;
        lint->summary.broken += sure;
        lint->summary.held += !told && known;
        lint->summary.undecided += !sure && (told || place->uncounted);
        if (!told) continue;
        tell(lint, &over);
        faults_flush(lint->faults);
    }
}
