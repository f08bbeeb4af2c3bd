/* Courses as a picture: a field for each, weeks to the right, shares upwards; the promise as a grey band with
 * its mean dotted, the living as a heavy line, the rooted as a dashed one. */
#include "write/course.h"

#include "write/svg.h"

enum {
    WIDTH = 640,
    LEFT = 60,
    RIGHT = 20,
    FIELD = 220,  /* height of a course, of which … */
    HEAD = 34,    /* … so much is its name */
    HEIGHT = 150, /* … and so much is 100 % */
    WEEKS_LEAST = 8
};

typedef struct Drawing {
    Buffer *out;
    const CourseReport *report;
    double base; /* where 0 % lies */
    size_t weeks;
} Drawing;

static double x_of(const Drawing *drawing, size_t week)
{
    return LEFT + (double)week / (double)drawing->weeks * (WIDTH - LEFT - RIGHT);
}

static double y_of(const Drawing *drawing, double share)
{
    return drawing->base - (share < 1 ? share : 1) * HEIGHT;
}

static void write_axes(const Drawing *drawing)
{
    Arena *arena = drawing->report->arena;
    for (int percent = 0; percent <= 100; percent += 25) {
        double y = y_of(drawing, percent / 100.0);
        buffer_print(drawing->out, "<path d=\"M%d %.1fH%d\" stroke=\"#ccc\" stroke-width=\"0.5\"/>\n", LEFT,
                     y, WIDTH - RIGHT);
        svg_text(drawing->out, LEFT - 6, y + 4, "end", slice_of(arena_print(arena, "%d %%", percent)));
    }
    size_t every = drawing->weeks > 60 ? 13 : drawing->weeks > 24 ? 4 : 2;
    for (size_t week = 0; week <= drawing->weeks; week += every)
        svg_text(drawing->out, x_of(drawing, week), drawing->base + 16, "middle",
                 slice_of(arena_print(arena, "%zu", week)));
    svg_text(drawing->out, WIDTH - RIGHT, drawing->base + 30, "end", SLICE("weeks since sticking"));
}

/* What is promised falls in steps; the band goes forth along its upper edge and back along its lower. */
static void write_band(const Drawing *drawing, const Course *course)
{
    if (course->weeks[0].mean < 0) return;
    buffer_print(drawing->out, "<path d=\"M%.1f %.1f", x_of(drawing, 0),
                 y_of(drawing, course->weeks[0].high));
    for (size_t w = 1; w <= drawing->weeks; w++)
        buffer_print(drawing->out, "H%.1fV%.1f", x_of(drawing, w), y_of(drawing, course->weeks[w].high));
    for (size_t w = drawing->weeks + 1; w-- > 0;)
        buffer_print(drawing->out, "V%.1fH%.1f", y_of(drawing, course->weeks[w].low), x_of(drawing, w));
    buffer_text(drawing->out, "Z\" fill=\"#ddd\" stroke=\"none\"/>\n");
    buffer_print(drawing->out, "<path d=\"M%.1f %.1f", x_of(drawing, 0),
                 y_of(drawing, course->weeks[0].mean));
    for (size_t w = 1; w <= drawing->weeks; w++)
        buffer_print(drawing->out, "H%.1fV%.1f", x_of(drawing, w), y_of(drawing, course->weeks[w].mean));
    buffer_text(drawing->out,
                "\" fill=\"none\" stroke=\"#666\" stroke-width=\"1\" stroke-dasharray=\"1 3\"/>\n");
}

static void write_line(const Drawing *drawing, const Course *course, bool rooted)
{
    bool begun = false;
    for (size_t w = 0; w < course->week_count; w++) {
        const CourseWeek *week = &course->weeks[w];
        if (rooted && !course_roots_known(week)) continue;
        double y = y_of(drawing, rooted ? (double)week->rooted / (double)week->rooted_of : week->share);
        if (begun)
            buffer_print(drawing->out, "L%.1f %.1f", x_of(drawing, w), y);
        else
            buffer_print(drawing->out, "<path d=\"M%.1f %.1f", x_of(drawing, w), y);
        begun = true;
    }
    if (begun)
        buffer_print(drawing->out, "\" fill=\"none\" stroke=\"#000\" stroke-width=\"%s\"/>\n",
                     rooted ? "1.4\" stroke-dasharray=\"6 3" : "2");
}

static void write_course(Drawing *drawing, const Course *course)
{
    drawing->weeks = course->week_count < WEEKS_LEAST ? WEEKS_LEAST : course->week_count;
    if (drawing->weeks >= COURSE_WEEKS) drawing->weeks = COURSE_WEEKS - 1;
    svg_text(
        drawing->out, LEFT, drawing->base - HEIGHT - 12, "start",
        slice_of(arena_print(drawing->report->arena, "%s: %zu %s, %lld stuck", course->name, course->batches,
                             course->batches == 1 ? "batch" : "batches", (long long)course->stuck)));
    write_band(drawing, course);
    write_axes(drawing);
    write_line(drawing, course, false);
    write_line(drawing, course, true);
}

static const char legend[] =
    "heavy: alive; dashed: rooted; grey: promised to nine batches in ten, dotted: on average";

/* What the picture shows in the end: "deutzia: after 14 weeks 80 % alive, promised 71 .. 86 %". */
static Slice told(const CourseReport *report)
{
    Buffer *out = buffer_in_memory(report->arena);
    buffer_text(out, legend);
    for (size_t i = 0; i < report->count; i++) {
        const Course *course = &report->list[i];
        if (!course->week_count) continue;
        const CourseWeek *last = &course->weeks[course->week_count - 1];
        buffer_print(out, ". %s: after %zu weeks %.0f %% alive", course->name, course->week_count - 1,
                     last->share * 100);
        if (last->mean >= 0)
            buffer_print(out, ", promised %.0f .. %.0f %%", last->low * 100, last->high * 100);
    }
    return buffer_slice_of(out);
}

void course_write_svg(Buffer *out, const CourseReport *report)
{
    Drawing drawing = {.out = out, .report = report};
    int height = (int)report->count * FIELD + HEAD;
    svg_begin(out, WIDTH, height, "How many live and are rooted, week by week", told(report));
    for (size_t i = 0; i < report->count; i++) {
        drawing.base = (double)i * FIELD + HEAD + HEIGHT;
        write_course(&drawing, &report->list[i]);
    }
    svg_text(out, LEFT, height - 10, "start",
             report->count ? slice_of(legend) : SLICE("no batch is recorded as stuck"));
    svg_end(out);
}
