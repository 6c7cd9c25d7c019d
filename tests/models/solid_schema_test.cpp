// Files of the three STEP protocols that a part may come from, and in other units, as the kernel's
// own writer makes them: AP203, AP214 and AP242 (ISO 10303-203, -214, -242).
#include <cmath>
#include <string>

#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Writer.hxx>

#include "models/checking.h"
#include "models/job_reader.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::SolidCase;

/// A protocol and a unit, each as the kernel's writer calls it, and what the file then says.
struct Written {
  const char* name;
  std::size_t number;  ///< of the case
  const char* schema;
  const char* says;
  const char* unit;
  const char* unit_says;
};

void PrintTo(const Written& one, std::ostream* out) { *out << one.name; }

/// Sets a word of the kernel's writer, and puts it back.
class WriterWord {
 public:
  WriterWord(const char* key, const char* value) : key_(key), before_(Interface_Static::CVal(key)) {
    EXPECT_TRUE(Interface_Static::SetCVal(key, value)) << key;
  }
  ~WriterWord() { Interface_Static::SetCVal(key_.c_str(), before_.c_str()); }
  WriterWord(const WriterWord&) = delete;
  WriterWord& operator=(const WriterWord&) = delete;

 private:
  std::string key_;
  std::string before_;
};

void Write(const TopoDS_Shape& shape, const Written& how, const std::string& path) {
  Message::DefaultMessenger()->ChangePrinters().Clear();  // it tells of every step
  STEPControl_Writer writer;                              // first: it makes the words
  const WriterWord schema("write.step.schema", how.schema);
  const WriterWord unit("write.step.unit", how.unit);
  writer.Model(Standard_True);  // a model of the protocol now set
  ASSERT_EQ(writer.Transfer(shape, STEPControl_AsIs), IFSelect_RetDone);
  ASSERT_EQ(writer.Write(path.c_str()), IFSelect_RetDone);
}

class SolidSchema : public ::testing::TestWithParam<Written> {};

TEST_P(SolidSchema, GivesTheSamePlacesAndVerdicts) {
  const Written& how = GetParam();
  const SolidCase one = testing_tools::SolidCases().at(how.number);
  const Scratch folder;
  const auto known = ReadSolidFile(testing_tools::WriteStep(one, folder, "known.step"));
  ASSERT_TRUE(known && known->bodies.size() == 1);
  const std::string file = folder.path() + "/arm.step";
  Write(known->bodies[0].shape, how, file);
  const std::string text = testing_tools::ReadAll(file);
  EXPECT_NE(text.find(how.says), std::string::npos) << text.substr(0, 600);
  EXPECT_NE(text.find(how.unit_says), std::string::npos);

  const auto solids = ReadSolidFile(file);
  ASSERT_TRUE(solids) << solids.error().message;
  ASSERT_EQ(solids->bodies.size(), 1U);
  const SolidBody& body = solids->bodies[0];
  EXPECT_TRUE(body.healed.empty()) << body.healed[0];
  EXPECT_LT((body.size() - known->bodies[0].size()).norm(), 1e-3);

  const std::string path = folder.path() + "/job.toml";
  const CheckedJob of_sections = CheckedFrom(testing_tools::SectionJob(one), path);
  const CheckedJob of_solid = CheckedFrom(SolidJob(one, "arm.step", body.size()), path);
  ASSERT_FALSE(of_solid.placed.empty());
  ASSERT_EQ(of_solid.placed.size(), of_sections.placed.size());
  for (std::size_t i = 0; i < of_solid.placed.size(); ++i) {
    EXPECT_LT((of_solid.placed[i].position - of_sections.placed[i].position).norm(), 1e-3)
        << of_solid.placed[i].name;
  }
  ASSERT_FALSE(of_solid.checking.holes.empty());
  ASSERT_EQ(of_solid.checking.holes.size(), of_sections.checking.holes.size());
  for (std::size_t i = 0; i < of_solid.checking.holes.size(); ++i) {
    EXPECT_EQ(of_solid.checking.holes[i].verdict, of_sections.checking.holes[i].verdict)
        << of_solid.checking.holes[i].point;
  }
}

constexpr std::size_t kBox = 0;
constexpr std::size_t kRound = 3;

INSTANTIATE_TEST_SUITE_P(
    Cases, SolidSchema,
    ::testing::Values(
        Written{"Ap203", kBox, "AP203", "CONFIG_CONTROL_DESIGN", "MM", "SI_UNIT(.MILLI.,.METRE.)"},
        Written{"Ap242", kRound, "AP242DIS", "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING", "MM",
                "SI_UNIT(.MILLI.,.METRE.)"},
        Written{"Ap214Inch", kRound, "AP214IS", "AUTOMOTIVE_DESIGN", "INCH",
                "CONVERSION_BASED_UNIT('INCH'"},
        Written{"Ap242Metre", kBox, "AP242DIS", "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING", "M",
                "SI_UNIT($,.METRE.)"}),
    [](const auto& one) { return std::string(one.param.name); });

}  // namespace
}  // namespace holeward
