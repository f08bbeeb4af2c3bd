/* What lies between two readings of one field, and what that means.
 *
 * Two readings are laid beside each other cell by cell: which bound was drawn in or let out, which members
 * came and went. What a cell means hangs on the role of the field, by the table in grammar/changes.def. All
 * of it works on readings of two nurseries that share one table of names.
 */
#ifndef MODEL_CHANGE_H
#define MODEL_CHANGE_H

#include "model/block.h"

typedef enum Cell {
    CELL_LOW_RAISED,
    CELL_LOW_SET,
    CELL_LOW_LOWERED,
    CELL_LOW_UNSET,
    CELL_HIGH_LOWERED,
    CELL_HIGH_SET,
    CELL_HIGH_RAISED,
    CELL_HIGH_UNSET,
    CELL_MEMBER_ADDED,
    CELL_MEMBER_REMOVED,
    CELL_CLAUSE_ADDED,
    CELL_CLAUSE_REMOVED,
    CELL_REPLACED, /* cannot be laid beside each other, or a planned length that is another */
    CELL_STRICTER, /* plain -> must, prefer -> plain, no -> yes */
    CELL_MILDER,
    CELL_REASON, /* because, instead */
    CELL_SOURCE, /* citations */
    CELLS
} Cell;
typedef uint32_t Cells;
#define CELL_BIT(cell) (UINT32_C(1) << CELL_##cell)

typedef enum Direction {
    DIRECTION_NONE,
    DIRECTION_EDITORIAL,
    DIRECTION_TIGHTENED,
    DIRECTION_LOOSENED,
    DIRECTION_MOVED,
    DIRECTIONS
} Direction;
extern const char *const direction_name[DIRECTIONS]; /* "", "editorial", "tightened" … */

/* Where a briefing tells a change. */
typedef enum Chapter {
    CHAPTER_WORK,
    CHAPTER_PROMISE,
    CHAPTER_RULES,
    CHAPTER_HOUSE,
    CHAPTER_EDITORIAL,
    CHAPTERS
} Chapter;

/* Editorial gives way to all else; tightened and loosened together are moved. */
Direction direction_joined(Direction a, Direction b);

/* The cells of a change from one reading to another; 0 when both mean the same. */
Cells change_of_readings(const Field *field, const Reading *before, const Reading *after);
/* The cells of a clause that came, or went. Where saying nothing means something (no `slack`: three days),
 * they are those of the change from it, or to it, too. */
Cells change_of_presence(const Field *field, const Reading *reading, bool came);
/* All cells together. `never`: the clause, or both, say never. */
Direction change_direction(const Field *field, bool never, Cells cells);
Chapter change_chapter(const Field *field, bool never);
/* "narrower", "wider", "higher", "later", "nothing in common" …; NULL where there is no such word. */
const char *change_shape(const Field *field, const Reading *before, const Reading *after, Cells cells);

#endif
