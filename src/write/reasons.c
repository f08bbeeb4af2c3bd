/* The chain behind something, as text and as JSON. */
#include "write/reasons.h"

#include "base/json.h"
#include "write/place.h"

static void write_row(Buffer *out, size_t indent, const char *label, Slice text)
{
    if (!text.length) return;
    buffer_spaces(out, indent);
    buffer_text(out, label);
    buffer_escaped(out, text);
    buffer_char(out, '\n');
}

static void write_step(Buffer *out, const Nursery *nursery, const WhyStep *step)
{
    size_t indent = 2 + 2 * (size_t)step->depth;
    Place place = place_of(step->place);
    buffer_spaces(out, indent);
    buffer_escaped(out, slice_of(step->text));
    if (*step->owner) {
        buffer_text(out, "  [");
        buffer_escaped(out, slice_of(step->owner));
        buffer_char(out, ']');
    }
    if (*place.file) {
        buffer_text(out, "  ");
        buffer_escaped(out, slice_of(place.file));
        buffer_print(out, ":%u:%u", place.line, place.column);
    }
    buffer_char(out, '\n');
    if (!step->item) return;
    write_row(out, indent + 4, "because ", step->item->because);
    write_row(out, indent + 4, "instead ", step->item->instead);
    write_row(out, indent + 4, "source  ",
              slice_of(nursery_cite(nursery, nursery->arena, step->item->citations)));
}

void reasons_write_text(Buffer *out, const Nursery *nursery, const Why *why)
{
    for (size_t i = 0; i < why->count; i++) {
        if (i) buffer_char(out, '\n');
        buffer_escaped(out, slice_of(why->answers[i].title));
        buffer_char(out, '\n');
        for (size_t k = 0; k < why->answers[i].count; k++)
            write_step(out, nursery, &why->answers[i].steps[k]);
    }
}

/* ------------------------------------------------------------------ JSON */

static void write_json_step(Json *json, const Nursery *nursery, const WhyStep *step)
{
    Place place = place_of(step->place);
    json_object(json);
    json_field_integer(json, "depth", step->depth);
    json_field_text(json, "text", step->text);
    json_field_text(json, "owner", *step->owner ? step->owner : NULL);
    json_key(json, "place");
    if (*place.file) {
        json_object(json);
        json_field_text(json, "file", place.file);
        json_field_integer(json, "line", place.line);
        json_field_integer(json, "column", place.column);
        json_end_object(json);
    } else {
        json_null(json);
    }
    if (step->item && step->item->because.length) json_field_slice(json, "because", step->item->because);
    if (step->item && step->item->instead.length) json_field_slice(json, "instead", step->item->instead);
    if (step->item && step->item->citations)
        json_field_text(json, "source", nursery_cite(nursery, nursery->arena, step->item->citations));
    json_end_object(json);
}

void reasons_write_json(Buffer *out, const Nursery *nursery, const Why *why)
{
    Json json;
    json_start(&json, out, true);
    json_object(&json);
    json_field_integer(&json, "version", 1);
    json_field_text(&json, "command", "why");
    json_key(&json, "answers");
    json_array(&json);
    for (size_t i = 0; i < why->count; i++) {
        json_object(&json);
        json_field_text(&json, "title", why->answers[i].title);
        json_key(&json, "steps");
        json_array(&json);
        for (size_t k = 0; k < why->answers[i].count; k++)
            write_json_step(&json, nursery, &why->answers[i].steps[k]);
        json_end_array(&json);
        json_end_object(&json);
    }
    json_end_array(&json);
    json_end_object(&json);
    buffer_char(out, '\n');
}
