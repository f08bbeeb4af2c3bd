/* base/json: commas, lines and quoting (RFC 8259, sections 2 and 7). */
#include "check.h"

#include "base/json.h"

static void holds(const Buffer *out, const char *text)
{
    Slice held = buffer_slice_of(out);
    if (!slice_is(held, text)) fail_msg("got    %.*s\nwanted %s", SLICE_ARG(held), text);
}

static void write_sample(Json *json)
{
    json_object(json);
    json_field_text(json, "name", "mist");
    json_field_integer(json, "count", -3);
    json_field_slice(json, "part", (Slice){"abcdef", 3});
    json_field_text(json, "nothing", NULL);
    json_key(json, "days");
    json_array(json);
    json_day(json, 0);
    json_day(json, DAY_NONE);
    json_bool(json, true);
    json_bool(json, false);
    json_null(json);
    json_end_array(json);
    json_key(json, "empty");
    json_array(json);
    json_end_array(json);
    json_key(json, "nested");
    json_object(json);
    json_key(json, "none");
    json_object(json);
    json_end_object(json);
    json_end_object(json);
    json_field_integer(json, "last", 1);
    json_end_object(json);
}

static void on_one_line(void **state)
{
    Buffer *out = buffer_in_memory(*state);
    Json json;
    json_start(&json, out, false);
    write_sample(&json);
    holds(out,
          "{\"name\":\"mist\",\"count\":-3,\"part\":\"abc\",\"nothing\":null,"
          "\"days\":[\"1970-01-01\",null,true,false,null],\"empty\":[],\"nested\":{\"none\":{}},\"last\":1}");
}

static void on_many_lines(void **state)
{
    Buffer *out = buffer_in_memory(*state);
    Json json;
    json_start(&json, out, true);
    write_sample(&json);
    holds(out, "{\n"
               "  \"name\": \"mist\",\n"
               "  \"count\": -3,\n"
               "  \"part\": \"abc\",\n"
               "  \"nothing\": null,\n"
               "  \"days\": [\n"
               "    \"1970-01-01\",\n"
               "    null,\n"
               "    true,\n"
               "    false,\n"
               "    null\n"
               "  ],\n"
               "  \"empty\": [],\n"
               "  \"nested\": {\n"
               "    \"none\": {}\n"
               "  },\n"
               "  \"last\": 1\n"
               "}");
}

static void text_is_quoted(void **state)
{
    Arena *arena = *state;
    static const struct {
        Slice from;
        const char *to;
    } rows[] = {
        {{"", 0}, "\"\""},
        {{NULL, 0}, "\"\""},
        {{"say \"mist\" \\ fog", 16}, "\"say \\\"mist\\\" \\\\ fog\""},
        {{"\b\f\n\r\t", 5}, "\"\\b\\f\\n\\r\\t\""},
        {{"\0\x01\x1f\x7f", 4}, "\"\\u0000\\u0001\\u001f\\u007f\""},
        {{"caf\xC3\xA9 \xF0\x9F\x8C\xB1", 10}, "\"caf\xC3\xA9 \xF0\x9F\x8C\xB1\""},
        {{"a\xFF"
          "b\xE2\x80",
          5},
         "\"a\\ufffdb\\ufffd\\ufffd\""},
        {{"\xED\xA0\x80", 3}, "\"\\ufffd\\ufffd\\ufffd\""},
        {{"x\xE2\x80\xAEy\xC2\x9B", 7}, "\"x\\u202ey\\u009b\""},
        {{"a/b", 3}, "\"a/b\""},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Buffer *out = buffer_in_memory(arena);
        Json json;
        json_start(&json, out, false);
        json_slice(&json, rows[i].from);
        holds(out, rows[i].to);
    }
    Buffer *out = buffer_in_memory(arena);
    Json json;
    json_start(&json, out, false);
    json_object(&json);
    json_field_text(&json, "a \"key\"", "\n");
    json_end_object(&json);
    holds(out, "{\"a \\\"key\\\"\":\"\\n\"}");
}

static void levels_go_as_deep_as_promised(void **state)
{
    Buffer *out = buffer_in_memory(*state);
    Json json;
    json_start(&json, out, false);
    for (int i = 1; i < JSON_DEPTH; i++) json_array(&json);
    for (int i = 1; i < JSON_DEPTH; i++) json_end_array(&json);
    assert_int_equal(buffer_slice_of(out).length, 2 * (JSON_DEPTH - 1));
    assert_int_equal(json.depth, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(on_one_line),
        CHECK_WITH_ARENA(on_many_lines),
        CHECK_WITH_ARENA(text_is_quoted),
        CHECK_WITH_ARENA(levels_go_as_deep_as_promised),
    };
    return cmocka_run_group_tests_name("base/json", tests, NULL, NULL) != 0;
}
