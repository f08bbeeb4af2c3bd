/* Chances in words: see odds.h. */
#include "write/odds.h"

#include <math.h>

const char *odds_text(Arena *arena, double chance)
{
    if (chance < 0.0005) return "less than once in 2000 times";
    if (chance > 0.4) return arena_print(arena, "%.0f times in 10", chance * 10);
    return arena_print(arena, "once in %.0f times", 1 / chance);
}

const char *odds_points(Arena *arena, double difference)
{
    double rounded = round(difference * 100);
    if (rounded == 0) return "as many";
    return arena_print(arena, "%.0f %s", fabs(rounded), rounded < 0 ? "fewer" : "more");
}
