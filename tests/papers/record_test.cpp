// Device records: all of it in both forms, void sign-offs told, nothing cut off on however many pages.
#include "exporters/papers/device_record.hpp"

#include <catch2/catch.hpp>

#include "tests/papers/judge_pages.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

papers::DeviceRecord record_with(int checks) {
    papers::DeviceRecord r;
    r.case_code = "WREN-3";
    r.revision = "B";
    r.revision_date = "2026-03-02";
    r.laboratory = "LAB-1";
    r.side = Side::left;
    r.fingerprint = r.cast_sha256 = r.job_sha256 = std::string(64, 'e');
    r.cast_file = "cast.ply";
    r.approval_words = "Not approved: no approval holds for the design as it is.";
    r.material_key = "pa11";
    r.material_name = "Polyamide 11";
    r.outputs = {{"WREN-3-left-B.stl", "", std::string(64, 'a'), 1234}};
    for (int k = 0; k < checks; ++k) {
        Check check = named_check("wall.place" + std::to_string(k), "Wall at place " + std::to_string(k));
        check.verdict = k % 7 == 0 ? Verdict::look : Verdict::pass;
        check.message = "The wall is 3.02 mm where 3 are asked, measured from either side over " +
                        std::to_string(1000 + k) + " places, and nowhere thinner than the material allows.";
        r.checks.push_back(check);
    }
    r.signed_off = {{{"wall.minimum", "T1", "thin where the order wants it", "T2", ""}, true},
                    {{"shoe.fit", "T3", "goes into a wider shoe", "", ""}, false}};
    return r;
}

}  // namespace

TEST_CASE("a record tells everything in both forms, on as many pages as it takes") {
    for (const int checks : {0, 12, 60, 300}) {
        const papers::DeviceRecord record = record_with(checks);
        const auto pdf = papers::record_pdf(record);
        if (!pdf.ok()) FAIL(pdf.fault().message);
        CHECK(*papers::record_pdf(record) == *pdf);
        const auto json = papers::record_json(record);
        CHECK(json["checks"].size() == record.checks.size());
        CHECK(json["sign_offs"][0]["holds"] == true);
        CHECK(json["sign_offs"][1]["holds"] == false);
        CHECK(json["approval"].is_null());
        for (const auto& [key, value] : json["statement"].items()) CHECK(value == "");
        for (const auto& [key, value] : json["making"].items()) CHECK(value == "");
        CHECK(json["note"].get<std::string>().find("no declaration of conformity") != std::string::npos);
        if (!tests::has_pdf_tools()) return;
        std::string all;
        for (const std::string& page : tests::judge_pages(*pdf)) {
            // its own head is on every page, and its foot stands apart from what is written
            CHECK(page.find("Devicerecord") != std::string::npos);
            CHECK(page.find("WREN-3leftB,page") != std::string::npos);
            all += page;
        }
        for (const Check& check : record.checks) {
            INFO(check.id);
            CHECK(all.find("(" + check.id + ")") != std::string::npos);
        }
        for (const char* words :
             {"no declaration of conformity", "Not approved", "(void: the design was changed",
              "thin where the order wants it", "Material: maker, grade, batch", "Place, date, signature",
              "R4 edge or relief presses", "R0 other"})
            CHECK(all.find(tests::without_blanks(words)) != std::string::npos);
    }
}
