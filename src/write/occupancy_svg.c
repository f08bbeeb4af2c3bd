/* How full places are, as a picture (SVG 1.1): a strip for each place over the days, what is planned as a
 * grey step, what may be as a dashed line, full as a rule. It says all it says without colour. */
#include "write/occupancy_span.h"
#include "write/svg.h"

enum {
    WIDTH = 900,
    LEFT = 150,
    RIGHT = 20,
    TOP = 40,
    STRIP = 70,     /* height of a place, of which … */
    STRIP_FULL = 44 /* … so much is full */
};

typedef struct Drawing {
    Buffer *out;
    const OccupancyReport *report;
    Day first, leave;
} Drawing;

static double x_of(const Drawing *drawing, Day day)
{
    return LEFT + (double)(day - drawing->first) / (double)(drawing->leave - drawing->first) *
                      (WIDTH - LEFT - RIGHT);
}

/* Over full goes on to the top of the strip and no further. */
static double height_of(double percent)
{
    const double most = 140;
    return (percent > most ? most : percent) / 100 * STRIP_FULL;
}

/* Which months are named: each where there is room for its name, else the first of each quarter, else
 * January. */
static int months_apart(const Drawing *drawing)
{
    enum { ROOM = 30, MONTH_DAYS = 30, QUARTER = 3, YEAR = 12 };
    double wide = x_of(drawing, drawing->first + MONTH_DAYS) - x_of(drawing, drawing->first);
    return wide >= ROOM ? 1 : wide * QUARTER >= ROOM ? QUARTER : YEAR;
}

static void write_months(const Drawing *drawing, double bottom)
{
    int told = 0; /* the year that stands above the months so far */
    int apart = months_apart(drawing);
    for (Day day = drawing->first; day < drawing->leave; day++) {
        int year, month, of_month;
        day_split(day, &year, &month, &of_month);
        if (of_month != 1 || (month - 1) % apart) continue;
        double x = x_of(drawing, day);
        buffer_print(drawing->out, "<path d=\"M%.1f %d V%.1f\" stroke=\"#bbb\" stroke-width=\"0.5\"/>\n", x,
                     TOP - 8, bottom);
        svg_text(drawing->out, x + 2, TOP - 12, "start", slice_of(month_name[month]));
        if (year != told)
            svg_text(drawing->out, x + 2, TOP - 26, "start",
                     slice_of(arena_print(drawing->report->arena, "%d", year)));
        told = year;
    }
}

static void write_steps(const Drawing *drawing, const PlaceOccupancy *place, double base, Certainty certainty,
                        bool area)
{
    Day end = DAY_NONE;
    buffer_text(drawing->out, "<path d=\"");
    for (size_t i = 0; i < place->span_count; i++) {
        Day first, leave;
        if (!report_span(drawing->report, &place->spans[i], &first, &leave)) continue;
        double y = base - height_of(share_percent(place->spans[i].share[certainty]));
        if (end == DAY_NONE) buffer_print(drawing->out, "M%.1f %.1f", x_of(drawing, first), base);
        buffer_print(drawing->out, "V%.1fH%.1f", y, x_of(drawing, leave));
        end = leave;
    }
    buffer_print(drawing->out, "V%.1f%s\" %s/>\n", base, area ? "Z" : "",
                 area ? "fill=\"#999\" stroke=\"#000\" stroke-width=\"0.8\""
                      : "fill=\"none\" stroke=\"#000\" stroke-width=\"0.8\" stroke-dasharray=\"3 2\"");
}

static void write_place(const Drawing *drawing, const PlaceOccupancy *place, double base)
{
    svg_text(drawing->out, LEFT - 8, base - 4, "end", name_slice(place->place->name));
    write_steps(drawing, place, base, CERTAINTY_PLANNED, true);
    write_steps(drawing, place, base, CERTAINTY_PERHAPS, false);
    buffer_print(drawing->out, "<path d=\"M%d %.1f H%d\" stroke=\"#000\" stroke-width=\"0.6\"/>\n", LEFT,
                 base, WIDTH - RIGHT);
    buffer_print(drawing->out, "<path d=\"M%d %.1f H%d\" stroke=\"#000\" stroke-width=\"1.2\"/>\n", LEFT,
                 base - STRIP_FULL, WIDTH - RIGHT);
    svg_text(drawing->out, LEFT - 8, base - STRIP_FULL + 4, "end", SLICE("full"));
}

static const char legend[] =
    "grey: as planned; dashed: perhaps, with early begins, late ends and days to make "
    "ready; heavy rule: full";

void occupancy_write_svg(Buffer *out, const OccupancyReport *report)
{
    Drawing drawing = {.out = out, .report = report};
    size_t strips = 0;
    for (size_t i = 0; i < report->place_count; i++) strips += report_has_place(report, &report->places[i]);
    bool any = report_days(report, &drawing.first, &drawing.leave);
    int height = TOP + (int)strips * STRIP + 30;
    svg_begin(out, WIDTH, height, "How full places are", slice_of(legend));
    if (any) write_months(&drawing, TOP + (double)strips * STRIP);
    double base = TOP;
    for (size_t i = 0; i < report->place_count && any; i++) {
        if (!report_has_place(report, &report->places[i])) continue;
        base += STRIP;
        write_place(&drawing, &report->places[i], base - 4);
    }
    svg_text(drawing.out, LEFT, height - 10, "start",
             any ? slice_of(legend) : SLICE("nothing stands anywhere"));
    svg_end(out);
}
