#include <stdio.h>
#include <string.h>
#include <zlib.h>

#include "base/picture.h"
#include "base/text.h"
#include "case.h"

/* Pictures are put together from their parts, as T.81 annex B, the PNG specification's section 5
 * and RFC 9649 lay them out. */

static void add_number(struct text *t, uint32_t value, int bytes, bool large_end_first)
{
	for (int i = 0; i < bytes; i++) {
		int shift = 8 * (large_end_first ? bytes - 1 - i : i);

		text_add_char(t, (char)(value >> shift & 0xff));
	}
}

static void segment(struct text *t, int marker, const void *bytes, size_t len)
{
	text_add_char(t, (char)0xff);
	text_add_char(t, (char)marker);
	add_number(t, (uint32_t)len + 2, 2, true);
	text_add(t, bytes, len);
}

static void frame(struct text *t, int marker, unsigned width, unsigned height)
{
	char bytes[9] = { 8, (char)(height >> 8), (char)height, (char)(width >> 8), (char)width, 1, 1,
		0x11, 0 };

	segment(t, marker, bytes, sizeof bytes);
}

static void scan(struct text *t)
{
	segment(t, 0xda, "\1\1\0\0\77\0", 6);
	text_add(t, "\x12\xff\x00\x34\xff\xd0\x56", 7);   /* a stuffed byte, a restart */
}

#define JFIF "JFIF\0\1\1\0\0\1\0\1\0\0"

static struct text jpeg(unsigned width, unsigned height, int marker, const char *part, size_t len)
{
	struct text t = { 0 };

	text_add(&t, "\xff\xd8", 2);
	segment(&t, 0xe0, JFIF, sizeof JFIF - 1);
	if (part != NULL) {
		segment(&t, marker, part, len);
	}
	segment(&t, 0xdb, "\0quantities", 11);
	frame(&t, 0xc0, width, height);
	segment(&t, 0xc4, "\0tables", 7);
	scan(&t);
	text_add(&t, "\xff\xd9", 2);
	return t;
}

static void chunk(struct text *t, const char *name, const void *bytes, size_t len)
{
	size_t from;

	add_number(t, (uint32_t)len, 4, true);
	from = t->len;
	text_add(t, name, 4);
	text_add(t, bytes, len);
	add_number(t, (uint32_t)crc32(0, (const unsigned char *)t->data + from,
		(uInt)(t->len - from)), 4, true);
}

static struct text png(unsigned width, unsigned height, const char *name, const char *part,
	size_t len)
{
	struct text t = { 0 }, head = { 0 };

	text_add(&t, "\x89PNG\r\n\x1a\n", 8);
	add_number(&head, width, 4, true);
	add_number(&head, height, 4, true);
	text_add(&head, "\x08\x02\0\0\0", 5);
	chunk(&t, "IHDR", head.data, head.len);
	text_release(&head);
	if (name != NULL) {
		chunk(&t, name, part, len);
	}
	chunk(&t, "IDAT", "pixels", 6);
	chunk(&t, "IEND", "", 0);
	return t;
}

static void part(struct text *t, const char *name, const void *bytes, size_t len)
{
	text_add(t, name, 4);
	add_number(t, (uint32_t)len, 4, false);
	text_add(t, bytes, len);
	text_add(t, "\0", len % 2);
}

static void lossy(struct text *t, unsigned width, unsigned height)
{
	struct text at = { 0 };

	text_add(&at, "\x10\0\0\x9d\x01\x2a", 6);
	add_number(&at, width, 2, false);
	add_number(&at, height, 2, false);
	text_add(&at, "pixels.", 7);
	part(t, "VP8 ", at.data, at.len);
	text_release(&at);
}

static struct text webp_of(struct text *inner)
{
	struct text t = { 0 };

	text_add_z(&t, "RIFF");
	add_number(&t, (uint32_t)inner->len + 4, 4, false);
	text_add_z(&t, "WEBP");
	text_add(&t, inner->data, inner->len);
	text_release(inner);
	return t;
}

static struct text webp(unsigned width, unsigned height)
{
	struct text inner = { 0 };

	lossy(&inner, width, height);
	return webp_of(&inner);
}

static struct text extended(int flags, unsigned width, unsigned height, const char *name)
{
	struct text inner = { 0 }, head = { 0 };

	add_number(&head, (uint32_t)flags, 4, false);
	add_number(&head, width - 1, 3, false);
	add_number(&head, height - 1, 3, false);
	part(&inner, "VP8X", head.data, head.len);
	text_release(&head);
	if (name != NULL) {
		part(&inner, name, "profile", 7);
	}
	lossy(&inner, 40, 30);
	return webp_of(&inner);
}

static void takes(struct text t, enum picture_type type, int width, int height)
{
	struct picture p;
	struct problem why = { 0 };

	ck_assert_msg(picture_read(t.data, t.len, &p, &why), "%s", why.detail);
	ck_assert_int_eq(p.type, type);
	ck_assert_int_eq(p.width, width);
	ck_assert_int_eq(p.height, height);
	for (size_t len = 0; len < t.len; len++) {
		ck_assert_msg(picture_begins(t.data, len, &p, &why), "%zu of it: %s", len, why.detail);
		ck_assert_msg(!picture_read(t.data, len, &p, &why), "cut at %zu it is taken", len);
		why = (struct problem){ 0 };
	}
	text_release(&t);
}

/* The sentence has these words. */
static void refuses(struct text t, const char *words)
{
	struct picture p;
	struct problem why = { 0 };

	ck_assert_msg(!picture_read(t.data, t.len, &p, &why), "taken, although: %s", words);
	ck_assert_int_eq(why.code, PROBLEM_VALUE);
	ck_assert_msg(strstr(why.detail, words) != NULL, "\"%s\" does not say \"%s\"", why.detail,
		words);
	text_release(&t);
}

START_TEST(takes_the_three_kinds_and_knows_how_large_they_are)
{
	takes(jpeg(1600, 1200, 0, NULL, 0), PICTURE_JPEG, 1600, 1200);
	takes(png(1, 1600, NULL, NULL, 0), PICTURE_PNG, 1, 1600);
	takes(webp(320, 240), PICTURE_WEBP, 320, 240);
	takes(extended(0, 40, 30, NULL), PICTURE_WEBP, 40, 30);
}
END_TEST

START_TEST(takes_what_a_browsers_canvas_writes_beside_the_pixels)
{
	takes(jpeg(8, 6, 0xe2, "ICC_PROFILE\0\1\1profile", 21), PICTURE_JPEG, 8, 6);
	takes(jpeg(8, 6, 0xee, "Adobe\0d\0\0\0\0\1", 12), PICTURE_JPEG, 8, 6);
	takes(png(8, 6, "sRGB", "\0", 1), PICTURE_PNG, 8, 6);
	takes(png(8, 6, "iCCP", "profile", 7), PICTURE_PNG, 8, 6);
	takes(extended(0x20, 40, 30, "ICCP"), PICTURE_WEBP, 40, 30);
	takes(extended(0x10, 40, 30, "ALPH"), PICTURE_WEBP, 40, 30);
}
END_TEST

START_TEST(refuses_a_side_longer_than_1600_pixels)
{
	refuses(jpeg(1601, 10, 0, NULL, 0), "1601 x 10 pixels: at most 1600");
	refuses(png(10, 1601, NULL, NULL, 0), "10 x 1601 pixels: at most 1600");
	refuses(webp(1601, 1601), "1601 x 1601 pixels: at most 1600");
	/* a flood: 65,500 a side would be 17 GB of pixels */
	refuses(jpeg(65500, 65500, 0, NULL, 0), "65500 x 65500");
	refuses(png(4000000000u, 4000000000u, NULL, NULL, 0), "4000000000 x 4000000000");
	refuses(jpeg(0, 10, 0, NULL, 0), "0 x 10 pixels");
	refuses(png(10, 0, NULL, NULL, 0), "10 x 0 pixels");
}
END_TEST

START_TEST(knows_a_flood_before_the_rest_has_come)
{
	struct text t = jpeg(65500, 65500, 0, NULL, 0);
	struct picture p;
	struct problem why = { 0 };

	ck_assert(!picture_begins(t.data, 60, &p, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "65500 x 65500"));
	text_release(&t);
}
END_TEST

START_TEST(refuses_what_the_camera_wrote)
{
	struct text t;

	refuses(jpeg(8, 6, 0xe1, "Exif\0\0MM\0*", 10), "EXIF");
	refuses(jpeg(8, 6, 0xe1, "http://ns.example/xap/", 22), "APP1");
	refuses(jpeg(8, 6, 0xed, "maker", 5), "APP13");
	refuses(jpeg(8, 6, 0xfe, "a comment", 9), "a comment");
	refuses(png(8, 6, "eXIf", "MM\0*", 4), "EXIF");
	refuses(png(8, 6, "tEXt", "Author\0me", 9), "text");
	refuses(png(8, 6, "tIME", "\7\xe5\1\1\0\0\0", 7), "text");
	refuses(extended(0x08, 40, 30, NULL), "EXIF or XMP");
	refuses(extended(0x04, 40, 30, NULL), "EXIF or XMP");
	/* a small picture within the mark, which can show more than the large one */
	t = (struct text){ 0 };
	text_add(&t, "\xff\xd8", 2);
	segment(&t, 0xe0, "JFIF\0\1\1\0\0\1\0\1\1\1rgb", 17);
	refuses(t, "APP0");
}
END_TEST

START_TEST(refuses_a_second_file_behind_or_within)
{
	struct text behind = jpeg(8, 6, 0, NULL, 0), last = png(8, 6, NULL, NULL, 0), shop = webp(8, 6);

	text_add_z(&behind, "PK\3\4 an archive");
	refuses(behind, "bytes behind its end");
	text_add_z(&last, "<script>");
	refuses(last, "bytes behind its end");
	text_add_z(&shop, "<html>");
	refuses(shop, "longer or shorter than the file");
	refuses(png(8, 6, "teSt", "<script>", 8), "does not need");
	refuses(extended(0, 40, 30, "JUNK"), "does not need");
	refuses(extended(0x02, 40, 30, NULL), "an animation");
	refuses(png(8, 6, "acTL", "\0\0\0\2\0\0\0\0", 8), "does not need");
}
END_TEST

START_TEST(refuses_what_is_no_picture_or_lies)
{
	static const struct { const char *bytes; size_t len; const char *words; } lies[] = {
		{ "", 0, "empty" },
		{ "GIF89a", 6, "JPEG, PNG and WebP" },
		{ "<svg xmlns=", 11, "JPEG, PNG and WebP" },
		{ "%PDF-1.7", 8, "JPEG, PNG and WebP" },
		{ "RIFF\4\0\0\0WAVE", 12, "JPEG, PNG and WebP" },
		{ "\xff\xd8\xff\xd9", 4, "ends before its pixels" },
		{ "\xff\xd8\x00\x00", 4, "a mark is missing" },
		{ "\xff\xd8\xff\xc0\0\1", 6, "shorter than nothing" },
		{ "\xff\xd8\xff\xc9\0\2", 6, "does not show" },     /* arithmetic coding */
		{ "\xff\xd8\xff\xda\0\2", 6, "before their size" },
		{ "\xff\xd8\xff\xe0\xff\xff", 6, "cut short" },
	};

	for (size_t i = 0; i < sizeof lies / sizeof lies[0]; i++) {
		struct text t = { 0 };

		text_add(&t, lies[i].bytes, lies[i].len);
		refuses(t, lies[i].words);
	}
	refuses(extended(0, 41, 30, NULL), "says two sizes");
}
END_TEST

START_TEST(refuses_a_png_of_which_a_byte_was_changed)
{
	struct text t = png(8, 6, NULL, NULL, 0);

	t.data[19] ^= 1;   /* its width */
	refuses(t, "not as it was written");
}
END_TEST

START_TEST(refuses_two_frames)
{
	struct text t = { 0 };

	text_add(&t, "\xff\xd8", 2);
	frame(&t, 0xc0, 8, 6);
	frame(&t, 0xc0, 16, 6);
	refuses(t, "no form that a browser shows");
}
END_TEST

START_TEST(refuses_a_file_of_more_than_3_MB)
{
	struct text t = { 0 };
	struct picture p;
	struct problem why = { 0 };
	size_t len = PICTURE_BYTES_MOST + 1;

	ck_assert_ptr_nonnull(text_grow(&t, len));
	memset(t.data, 0, len);
	memcpy(t.data, "\xff\xd8", 2);
	ck_assert(!picture_read(t.data, len, &p, &why));
	ck_assert_int_eq(why.code, PROBLEM_TOO_LARGE);
	text_release(&t);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { takes_the_three_kinds_and_knows_how_large_they_are,
		takes_what_a_browsers_canvas_writes_beside_the_pixels,
		refuses_a_side_longer_than_1600_pixels, knows_a_flood_before_the_rest_has_come,
		refuses_what_the_camera_wrote, refuses_a_second_file_behind_or_within,
		refuses_what_is_no_picture_or_lies, refuses_a_png_of_which_a_byte_was_changed,
		refuses_two_frames, refuses_a_file_of_more_than_3_MB, NULL };

	return case_run("picture", tests);
}
