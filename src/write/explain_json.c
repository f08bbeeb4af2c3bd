/* Pages for programs: one object, version 1, as docs/explain.schema.json describes it. */
#include "write/explain.h"

#include "base/json.h"
#include "write/place.h"

static void write_uses(Json *json, const Page *page)
{
    json_key(json, "uses");
    json_array(json);
    for (size_t i = 0; i < page->uses_kept; i++) {
        Place place = place_of(page->uses[i]);
        json_object(json);
        json_field_text(json, "file", place.file);
        json_field_integer(json, "line", place.line);
        json_field_integer(json, "column", place.column);
        json_end_object(json);
    }
    json_end_array(json);
    json_field_integer(json, "use_count", (int64_t)page->use_count);
}

static void write_page(Json *json, const Page *page)
{
    json_object(json);
    json_field_text(json, "kind", topic_kind_name[page->topic->kind]);
    json_field_slice(json, "name", page->topic->name);
    json_field_text(json, "what", page->what);
    json_field_text(json, "meaning", page->meaning);
    json_key(json, "facts");
    json_array(json);
    for (size_t i = 0; i < page->facts.count; i++) {
        json_object(json);
        json_field_text(json, "label", page->facts.at[i].label);
        json_field_text(json, "text", page->facts.at[i].text);
        json_end_object(json);
    }
    json_end_array(json);
    json_field_text(json, "good", page->good);
    json_field_text(json, "bad", page->bad);
    json_field_text(json, "told", page->told);
    write_uses(json, page);
    json_end_object(json);
}

static void write_names(Json *json, const Topics *topics)
{
    json_key(json, "names");
    json_array(json);
    for (size_t i = 0; i < topics->count; i++) {
        json_object(json);
        json_field_text(json, "kind", topic_kind_name[topics->at[i].kind]);
        json_field_slice(json, "name", topics->at[i].name);
        json_end_object(json);
    }
    json_end_array(json);
}

void explanation_write_json(Buffer *out, const Explanation *explanation)
{
    Json json;
    json_start(&json, out, true);
    json_object(&json);
    json_field_integer(&json, "version", 1);
    if (!explanation->name.length) {
        write_names(&json, explanation->topics);
    } else {
        json_field_slice(&json, "name", explanation->name);
        json_key(&json, "pages");
        json_array(&json);
        for (size_t i = 0; i < explanation->page_count; i++) write_page(&json, explanation->pages[i]);
        json_end_array(&json);
        json_field_integer(&json, "left_out", (int64_t)explanation->left_out);
    }
    json_end_object(&json);
    buffer_char(out, '\n');
}
