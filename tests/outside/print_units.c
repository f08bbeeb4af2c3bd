/* Prints the table of units, a row a line, for units_gnu.sh: spelling|dimension|factor|offset|GNU units'
 * spelling. */
#include "base/unit.h"

#include <inttypes.h>
#include <stdio.h>

int main(void)
{
    for (size_t i = 0; i < unit_count; i++) {
        const Unit *unit = &unit_table[i];
        printf("%s|%s|%" PRId64 "/%" PRId64 "|%" PRId64 "/%" PRId64 "|%s\n", unit->spelling,
               dimension_name[unit->dimension], unit->factor.num, unit->factor.den, unit->offset.num,
               unit->offset.den, unit->gnu);
    }
    return 0;
}
