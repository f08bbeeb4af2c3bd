/* What a change means, and in which words it is told: see change.h; its cells come from change_cells.c. */
#include "model/change.h"

#include "model/limit.h"

#include <string.h>

const char *const direction_name[DIRECTIONS] = {[DIRECTION_NONE] = "",
                                                [DIRECTION_EDITORIAL] = "editorial",
                                                [DIRECTION_TIGHTENED] = "tightened",
                                                [DIRECTION_LOOSENED] = "loosened",
                                                [DIRECTION_MOVED] = "moved"};

Direction direction_joined(Direction a, Direction b)
{
    Direction less = a < b ? a : b, more = a < b ? b : a;
    if (less == DIRECTION_TIGHTENED && more == DIRECTION_LOOSENED) return DIRECTION_MOVED;
    return more;
}

/* ------------------------------------------------------------------ the table */

enum { ANY = 255, NEVER = 254 /* in place of a role: every clause that says never */ };
typedef enum Decides { DECIDES_BOTH, DECIDES_HIGH, DECIDES_LOW } Decides;

typedef struct ChangeRow {
    uint8_t role, type, dimension;
    unsigned flag;
    Chapter chapter;
    Decides decides;
    Direction low_raised, low_lowered, high_lowered, high_raised, member_added, member_removed, clause_added,
        clause_removed, replaced;
} ChangeRow;

#define T DIRECTION_TIGHTENED
#define L DIRECTION_LOOSENED
#define M DIRECTION_MOVED
#define E DIRECTION_EDITORIAL
#define ROLE_ANY ANY
#define ROLE_NEVER NEVER
#define TYPE_ANY ANY
#define DIM_ANY ANY
#define FIELD_0 0
static const ChangeRow rows[] = {
#define CHANGE(role, type, dimension, flag, chapter, decides, a, b, c, d, e, f, g, h, i)                     \
    {ROLE_##role,                                                                                            \
     TYPE_##type,                                                                                            \
     DIM_##dimension,                                                                                        \
     FIELD_##flag,                                                                                           \
     CHAPTER_##chapter,                                                                                      \
     DECIDES_##decides,                                                                                      \
     a,                                                                                                      \
     b,                                                                                                      \
     c,                                                                                                      \
     d,                                                                                                      \
     e,                                                                                                      \
     f,                                                                                                      \
     g,                                                                                                      \
     h,                                                                                                      \
     i},
#include "changes.def"
#undef CHANGE
};
#undef T
#undef L
#undef M
#undef E

/* The last row fits every field. */
static const ChangeRow *row_of(const Field *field, bool never)
{
    const ChangeRow *row = rows;
    while (!((row->role == ANY || row->role == (never ? NEVER : (unsigned)field->role)) &&
             (row->type == ANY || row->type == field->type) &&
             (row->dimension == ANY || row->dimension == field->dimension) &&
             (field->flags & row->flag) == row->flag))
        row++;
    return row;
}

Chapter change_chapter(const Field *field, bool never)
{
    return row_of(field, never)->chapter;
}

static const Cells low_cells =
                       CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET) | CELL_BIT(LOW_LOWERED) | CELL_BIT(LOW_UNSET),
                   high_cells = CELL_BIT(HIGH_LOWERED) | CELL_BIT(HIGH_SET) | CELL_BIT(HIGH_RAISED) |
                                CELL_BIT(HIGH_UNSET);

static Direction direction_of(const ChangeRow *row, Cell cell)
{
    switch (cell) {
    case CELL_LOW_RAISED:
    case CELL_LOW_SET: return row->low_raised;
    case CELL_LOW_LOWERED:
    case CELL_LOW_UNSET: return row->low_lowered;
    case CELL_HIGH_LOWERED:
    case CELL_HIGH_SET: return row->high_lowered;
    case CELL_HIGH_RAISED:
    case CELL_HIGH_UNSET: return row->high_raised;
    case CELL_MEMBER_ADDED: return row->member_added;
    case CELL_MEMBER_REMOVED: return row->member_removed;
    case CELL_CLAUSE_ADDED: return row->clause_added;
    case CELL_CLAUSE_REMOVED: return row->clause_removed;
    case CELL_REPLACED: return row->replaced;
    case CELL_STRICTER: return DIRECTION_TIGHTENED;
    case CELL_MILDER: return DIRECTION_LOOSENED;
    case CELL_REASON:
    case CELL_SOURCE: return DIRECTION_EDITORIAL;
    case CELLS: break;
    }
    return DIRECTION_NONE;
}

Direction change_direction(const Field *field, bool never, Cells cells)
{
    const ChangeRow *row = row_of(field, never);
    if (row->decides == DECIDES_HIGH && (cells & high_cells)) cells &= ~low_cells;
    if (row->decides == DECIDES_LOW && (cells & low_cells)) cells &= ~high_cells;
    Direction direction = DIRECTION_NONE;
    for (int cell = 0; cell < CELLS; cell++)
        if (cells & (UINT32_C(1) << cell))
            direction = direction_joined(direction, direction_of(row, (Cell)cell));
    return direction;
}

/* ------------------------------------------------------------------ words for it */

typedef struct Comparatives {
    const char *up, *down;
} Comparatives;

static Comparatives comparatives_of(const Field *field)
{
    if (field->type == TYPE_WINDOW || field->type == TYPE_HOURS || field->type == TYPE_SLACK)
        return (Comparatives){"later", "earlier"};
    if (field->type == TYPE_LASTS || field->dimension == DIM_DURATION)
        return (Comparatives){"longer", "shorter"};
    return (Comparatives){"higher", "lower"};
}

const char *change_shape(const Field *field, const Reading *before, const Reading *after, Cells cells)
{
    const Cells in = CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET) | CELL_BIT(HIGH_LOWERED) | CELL_BIT(HIGH_SET),
                out = CELL_BIT(LOW_LOWERED) | CELL_BIT(LOW_UNSET) | CELL_BIT(HIGH_RAISED) |
                      CELL_BIT(HIGH_UNSET);
    Comparatives words = comparatives_of(field);
    if (!before || !after || !(cells & (in | out))) return NULL;
    bool sets = role_judges(field->role) &&
                (field->type == TYPE_WINDOW ||
                 (field->type == TYPE_QUANTITY && !limit_is_one_value(before) && !limit_is_one_value(after)));
    if (sets && limit_disjoint(field, before, after) == TRUTH_TRUE) return "nothing in common";
    if (!(cells & out)) return "narrower";
    if (!(cells & in)) return "wider";
    return cells & (CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET)) ? words.up : words.down;
}
