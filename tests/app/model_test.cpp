// What `model` hands over, read back: by the kernel's own STEP and glTF readers, and byte by byte
// against the forms' specifications.
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_ProgressRange.hxx>
#include <RWGltf_CafReader.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <TCollection_AsciiString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <nlohmann/json.hpp>

#include <gtest/gtest.h>

#include "app/work_model.h"
#include "export/model_gltf.h"
#include "export/model_request.h"
#include "export/model_step.h"
#include "export/model_stl.h"
#include "export/step_styles.h"
#include "geometry/solid_kernel.h"
#include "geometry/solid_mesh.h"
#include "models/checking.h"
#include "models/exchange.h"
#include "tests/app/tube_jobs.h"
#include "tests/export/outside_tool.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;
using testing_tools::Scratch;
using Json = nlohmann::json;

// A straight tube of 60.3 x 3 and 400 long with one hole across, and a title with signs that are
// not ASCII.
std::string TheJob() {
  using testing_tools::With;
  return With(testing_tools::kHead, "Tube to test with", "Prüfrohr Ø60") +
         "[tool.drill]\nprojection = 60\n" + testing_tools::kTube +
         With(testing_tools::kHole, "[6]", "[3.5, 9]") + R"([[point]]
name = "T1"
use = "test"
part = "tube"
rule = [ { tape = 50, from = "inner end", toward = "outboard" }, { line = "top" } ]
)";
}

constexpr double kTubeVolume = kPi * (30.15 * 30.15 - 27.15 * 27.15) * 400.0;

ModelDocument ModelOfJob(bool drilled) {
  const Scratch folder;
  Options options;
  options.command = Command::model;
  options.job = folder.Put("job.toml", TheJob());
  options.drilled = drilled;
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  setenv("SOURCE_DATE_EPOCH", "1700000000", 1);
  auto work = PlaceWork(options, console);
  EXPECT_TRUE(work) << err.str();
  for (SideWork& side : work->sides) {
    side.checking = CheckPoints(work->job, side.scene, side.points, side.side);
  }
  auto model = ModelOf(*work, options);
  EXPECT_TRUE(model) << model.error().message;
  return std::move(*model);
}

const ModelDocument& Plain() {
  static const ModelDocument kModel = ModelOfJob(false);
  return kModel;
}

const ModelDocument& Drilled() {
  static const ModelDocument kModel = ModelOfJob(true);
  return kModel;
}

std::string StepOf(const ModelDocument& model) {
  const auto request = WriteStepRequest(model);
  EXPECT_TRUE(request);
  const auto arrived = ModelOfRequest(*ExchangeValue(ExchangeBytes(*request)));
  EXPECT_TRUE(arrived) << arrived.error().message;
  const auto text = ToStep(*arrived);
  EXPECT_TRUE(text) << text.error().message;
  return text ? *text : "";
}

double VolumeOf(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties, 1e-5);
  return properties.Mass();
}

std::string NameOf(const TDF_Label& label) {
  Handle(TDataStd_Name) name;
  if (!label.FindAttribute(TDataStd_Name::GetID(), name)) return "";
  return TCollection_AsciiString(name->Get()).ToCString();
}

/// Every named shape of a document of the kernel's, and the names of the faces of each part.
struct ReadBack {
  std::map<std::string, TopoDS_Shape> shapes;
  std::map<std::string, std::set<std::string>> faces;
};

ReadBack ReadDocument(const Handle(TDocStd_Document) & document) {
  ReadBack back;
  const auto tool = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  TDF_LabelSequence labels;
  tool->GetShapes(labels);
  for (const TDF_Label& label : labels) {
    back.shapes[NameOf(label)] = XCAFDoc_ShapeTool::GetShape(label);
    TDF_LabelSequence parts;
    XCAFDoc_ShapeTool::GetSubShapes(label, parts);
    for (const TDF_Label& part : parts) back.faces[NameOf(label)].insert(NameOf(part));
  }
  return back;
}

ReadBack ReadStep(const std::string& text) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  STEPCAFControl_Reader reader;
  // Names of faces come with what the reader keeps of the entities.
  Interface_Static::SetIVal("read.stepcaf.subshapes.name", 1);
  std::istringstream in(text);
  EXPECT_EQ(reader.ChangeReader().ReadStream("model", in), IFSelect_RetDone);
  Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  EXPECT_TRUE(reader.Transfer(document));
  return ReadDocument(document);
}

Vec3 FirstVertex(const TopoDS_Shape& shape) {
  const TopExp_Explorer found(shape, TopAbs_VERTEX);
  return found.More() ? ToVec3(BRep_Tool::Pnt(TopoDS::Vertex(found.Current()))) : Vec3::Zero();
}

// ---- STEP

TEST(ModelStep, PartsComeBackWithVolumeAndNamedFaces) {
  const ReadBack back = ReadStep(StepOf(Plain()));
  for (const char* part : {"tube left", "tube right"}) {
    ASSERT_EQ(back.shapes.count(part), 1U) << part;
    EXPECT_NEAR(VolumeOf(back.shapes.at(part)), kTubeVolume, 1e-4 * kTubeVolume);
    const auto& faces = back.faces.at(part);
    for (const NamedSolid::NamedFace& face : Plain().parts.front().solid.faces()) {
      EXPECT_EQ(faces.count(face.name), 1U) << face.name;
    }
  }
}

TEST(ModelStep, PointsAndAxesComeBackWhereTheyWere) {
  const ReadBack back = ReadStep(StepOf(Plain()));
  for (const ModelMark& mark : Plain().marks) {
    ASSERT_EQ(back.shapes.count(mark.name), 1U) << mark.name;
    EXPECT_LT((FirstVertex(back.shapes.at(mark.name)) - mark.place).norm(), 1e-6);
  }
  // D1 lies at the bottom 200 mm from the inner end; the tip travels up.
  ASSERT_EQ(back.shapes.count("D1 right axis"), 1U);
  TopTools_IndexedMapOfShape ends;
  TopExp::MapShapes(back.shapes.at("D1 right axis"), TopAbs_VERTEX, ends);
  ASSERT_EQ(ends.Extent(), 2);
  EXPECT_LT((ToVec3(BRep_Tool::Pnt(TopoDS::Vertex(ends(1)))) - Vec3(0, -300, 239.85)).norm(), 1e-6);
  EXPECT_LT((ToVec3(BRep_Tool::Pnt(TopoDS::Vertex(ends(2)))) - Vec3(0, -300, 269.85)).norm(), 1e-6);
}

TEST(ModelStep, DrillingTakesOutWhatTheHoleIsLongAndNoMore) {
  // A cylinder of 9 mm square through a wall of 3 mm on a tube: the metal between two coaxial
  // cylinders, by quadrature of the wall's length over the hole's disc.
  double metal = 0.0;
  constexpr int kSteps = 2000;
  for (int i = 0; i < kSteps; ++i) {
    const double x = -4.5 + 9.0 * (i + 0.5) / kSteps;
    const double across = 2.0 * std::sqrt(4.5 * 4.5 - x * x);
    metal += (std::sqrt(30.15 * 30.15 - x * x) - std::sqrt(27.15 * 27.15 - x * x)) * across * 9.0 /
             kSteps;
  }
  const double taken =
      Plain().parts.front().solid.volume() - Drilled().parts.front().solid.volume();
  EXPECT_NEAR(taken, metal, 0.02);
  const ReadBack back = ReadStep(StepOf(Drilled()));
  EXPECT_NEAR(VolumeOf(back.shapes.at("tube left")), kTubeVolume - metal, 1e-4 * kTubeVolume);
  EXPECT_EQ(back.faces.at("tube right").count("D1 right"), 1U);
}

TEST(ModelStep, TheHeadSaysSchemaAndFixedTimeAndTheTextIsAscii) {
  const std::string text = StepOf(Plain());
  EXPECT_NE(text.find("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214"), std::string::npos);
  EXPECT_NE(text.find("'2023-11-14T00:00:00'"), std::string::npos);
  EXPECT_NE(text.find("Pr\\X2\\00FC\\X0\\frohr \\X2\\00D8\\X0\\60"), std::string::npos);
  for (const char c : text) ASSERT_LT(static_cast<unsigned char>(c), 0x80);
  EXPECT_TRUE(StepOf(Plain()) == text) << "the same model gave other bytes";
}

TEST(ModelStep, ColoursAreSortedByTheShapesTheyBelongTo) {
  const std::string head = "DATA;\n#1 = A('#3');\n#2 = B();\n";
  const std::string group = " = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(";
  const std::string end = "ENDSEC;\nEND-ISO-10303-21;\n";
  const std::string wanted = head + "#3" + group + "#4),#1);\n#4 = C(#5);\n#5 = D();\n#6" + group +
                             "#7),#2);\n#7 = E(#5);\n" + end;
  EXPECT_EQ(WithStylesInOrder(wanted), wanted);
  EXPECT_EQ(WithStylesInOrder(head + "#3" + group + "#4),#2);\n#4 = E(#5);\n#5 = D();\n#6" + group +
                              "#7),#1);\n#7 = C(#5);\n" + end),
            wanted);
  EXPECT_EQ(WithStylesInOrder("nothing"), "nothing");
}

// ---- glTF

struct Glb {
  Json json;
  std::string binary;
};

std::uint32_t Number(const std::string& bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    value |= static_cast<std::uint32_t>(static_cast<unsigned char>(bytes.at(at + i))) << (8 * i);
  }
  return value;
}

float Float(const std::string& bytes, std::size_t at) {
  return std::bit_cast<float>(Number(bytes, at));
}

// The container, by the glTF 2.0 specification, chapter 4.4.
Glb Opened(const std::string& bytes) {
  EXPECT_EQ(Number(bytes, 0), 0x46546C67U);
  EXPECT_EQ(Number(bytes, 4), 2U);
  EXPECT_EQ(Number(bytes, 8), bytes.size());
  const std::uint32_t length = Number(bytes, 12);
  EXPECT_EQ(length % 4, 0U);
  EXPECT_EQ(Number(bytes, 16), 0x4E4F534AU);
  EXPECT_EQ(Number(bytes, 20 + length) % 4, 0U);
  EXPECT_EQ(Number(bytes, 24 + length), 0x004E4942U);
  Glb glb{Json::parse(bytes.substr(20, length)), bytes.substr(28 + length)};
  EXPECT_EQ(glb.binary.size(), Number(bytes, 20 + length));
  return glb;
}

std::size_t Start(const Glb& glb, const Json& accessor) {
  return glb.json["bufferViews"].at(accessor["bufferView"].get<std::size_t>())["byteOffset"];
}

// Rules of the specification's chapters 3.6 and 3.7 on what stands in an accessor.
void CheckAccessor(const Glb& glb, const Json& accessor) {
  const Json& view = glb.json["bufferViews"].at(accessor["bufferView"].get<std::size_t>());
  const bool vector = accessor["type"] == "VEC3";
  const std::size_t count = accessor["count"];
  const std::size_t size = count * (vector ? 12 : 4);
  EXPECT_GT(count, 0U);
  EXPECT_EQ(view["byteOffset"].get<std::size_t>() % 4, 0U);
  EXPECT_LE(size, view["byteLength"].get<std::size_t>());
  EXPECT_LE(view["byteOffset"].get<std::size_t>() + view["byteLength"].get<std::size_t>(),
            glb.json["buffers"][0]["byteLength"].get<std::size_t>());
  if (!accessor.contains("min")) return;
  std::array<float, 3> least{1e9F, 1e9F, 1e9F};
  for (std::size_t i = 0; i < 3 * count; ++i) {
    least[i % 3] = std::min(least[i % 3], Float(glb.binary, Start(glb, accessor) + 4 * i));
  }
  for (std::size_t i = 0; i < 3; ++i) EXPECT_EQ(accessor["min"][i].get<float>(), least[i]);
}

void CheckPrimitive(const Glb& glb, const Json& primitive) {
  const Json& accessors = glb.json["accessors"];
  const Json& places = accessors.at(primitive["attributes"]["POSITION"].get<std::size_t>());
  EXPECT_TRUE(places.contains("min") && places.contains("max"));
  if (primitive["mode"] != 4) return;
  const Json& normals = accessors.at(primitive["attributes"]["NORMAL"].get<std::size_t>());
  ASSERT_EQ(normals["count"], places["count"]);
  for (std::size_t i = 0; i < normals["count"].get<std::size_t>(); ++i) {
    double square = 0.0;
    for (std::size_t k = 0; k < 3; ++k) {
      square += std::pow(Float(glb.binary, Start(glb, normals) + 12 * i + 4 * k), 2);
    }
    ASSERT_NEAR(square, 1.0, 1e-5);
  }
  const Json& indices = accessors.at(primitive["indices"].get<std::size_t>());
  ASSERT_EQ(indices["count"].get<std::size_t>() % 3, 0U);
  for (std::size_t i = 0; i < indices["count"].get<std::size_t>(); ++i) {
    ASSERT_LT(Number(glb.binary, Start(glb, indices) + 4 * i),
              places["count"].get<std::uint32_t>());
  }
}

TEST(ModelGltf, KeepsTheRulesOfItsSpecification) {
  const auto bytes = ToGlb(Drilled());
  ASSERT_TRUE(bytes);
  const Glb glb = Opened(*bytes);
  EXPECT_EQ(glb.json["asset"]["version"], "2.0");
  for (const Json& accessor : glb.json["accessors"]) CheckAccessor(glb, accessor);
  std::size_t primitives = 0;
  for (const Json& mesh : glb.json["meshes"]) {
    for (const Json& primitive : mesh["primitives"]) {
      CheckPrimitive(glb, primitive);
      ++primitives;
    }
  }
  EXPECT_GT(primitives, 10U);
  // Every node but the first hangs in exactly one place.
  std::map<std::size_t, int> parents;
  for (const Json& node : glb.json["nodes"]) {
    EXPECT_TRUE(node.contains("name"));
    for (const Json& child : node.value("children", Json::array())) ++parents[child];
  }
  EXPECT_EQ(parents.size(), glb.json["nodes"].size() - 1);
  for (const auto& [node, count] : parents) EXPECT_EQ(count, 1) << node;
}

TEST(ModelGltf, IsReadElsewhereWithNamesAndPlacesInMetres) {
  const Scratch folder;
  const std::string file = (folder.path() + "/model.glb");
  std::ofstream(file, std::ios::binary) << ToGlb(Plain()).value();
  Message::DefaultMessenger()->ChangePrinters().Clear();
  Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  RWGltf_CafReader reader;
  reader.SetDocument(document);
  reader.SetSystemLengthUnit(0.001);  // the kernel's own: mm, z up
  reader.SetSystemCoordinateSystem(RWMesh_CoordinateSystem_Zup);
  ASSERT_TRUE(reader.Perform(file.c_str(), Message_ProgressRange()));
  const ReadBack back = ReadDocument(document);
  for (const char* part : {"tube left", "tube right", "outer end", "inner end"}) {
    EXPECT_EQ(back.shapes.count(part), 1U) << part;
  }
}

/// The three figures in brackets after a word of a report.
Vec3 PlaceAfter(const std::string& report, const std::string& word) {
  const auto at = report.find(word);
  Vec3 place = Vec3::Constant(1e9);
  if (at == std::string::npos) return place;
  std::istringstream in(report.substr(report.find('(', at) + 1));
  in >> place.x() >> place.y() >> place.z();
  return place;
}

// By a reader that shares nothing with the writer or the kernel (assimp).
TEST(ModelGltf, AnotherReaderFindsEveryMeshNameAndPlace) {
  const Scratch folder;
  for (const ModelDocument* model : {&Plain(), &Drilled()}) {
    const std::string bytes = ToGlb(*model).value();
    const std::string file = folder.Put("model.glb", bytes);
    const std::string report = testing_tools::Output("assimp info '" + file + "'");
    ASSERT_NE(report, "command failed");
    const Glb glb = Opened(bytes);
    std::istringstream counts(report.substr(report.find("Meshes:") + 7));
    std::size_t meshes = 0;
    counts >> meshes;
    EXPECT_EQ(meshes, glb.json["meshes"].size());
    for (const Json& node : glb.json["nodes"]) {
      EXPECT_NE(report.find(node["name"].get<std::string>()), std::string::npos) << node["name"];
    }
    Eigen::AlignedBox3d box;
    for (const ModelPart& part : model->parts) box.extend(part.solid.Bounds());
    for (const ModelMark& mark : model->marks) box.extend(mark.place);
    for (const ModelAxis& axis : model->axes) box.extend(axis.from).extend(axis.to);
    // Left is x, up is y, forward is z.
    const auto turned = [](const Vec3& p) { return Vec3(0.001 * Vec3(p.y(), p.z(), p.x())); };
    EXPECT_LT((PlaceAfter(report, "Minimum point") - turned(box.min())).norm(), 1e-4) << report;
    EXPECT_LT((PlaceAfter(report, "Maximum point") - turned(box.max())).norm(), 1e-4) << report;
  }
  const std::string half = ToGlb(Plain()).value().substr(0, 20000);
  EXPECT_EQ(testing_tools::Output("assimp info '" + folder.Put("half.glb", half) + "'"),
            "command failed");
}

TEST(ModelGltf, APlaceOfTheVehicleIsMetresWithYUp) {
  const Glb glb = Opened(ToGlb(Plain()).value());
  for (const Json& node : glb.json["nodes"]) {
    if (node["name"] != "D1 right") continue;
    const Json& primitive = glb.json["meshes"].at(node["mesh"].get<std::size_t>())["primitives"][0];
    EXPECT_EQ(primitive["mode"], 0);
    const Json& accessor =
        glb.json["accessors"].at(primitive["attributes"]["POSITION"].get<std::size_t>());
    // (0, -300, 269.85) mm: left is x, up is y, forward is z.
    EXPECT_NEAR(accessor["min"][0].get<double>(), -0.3, 1e-7);
    EXPECT_NEAR(accessor["min"][1].get<double>(), 0.26985, 1e-7);
    EXPECT_NEAR(accessor["min"][2].get<double>(), 0.0, 1e-7);
    return;
  }
  FAIL() << "there is no node \"D1 right\"";
}

// ---- STL and the mesh behind both

TEST(SolidMesh, ClosesAndKeepsToItsDeflection) {
  for (const ModelDocument* model : {&Plain(), &Drilled()}) {
    const NamedSolid& solid = model->parts.front().solid;
    const auto mesh = MeshOf(solid);
    ASSERT_TRUE(mesh);
    EXPECT_TRUE(mesh->IsWatertight());
    // Chords lose up to the deflection on the outside and gain it on the inside.
    EXPECT_NEAR(mesh->Volume(), solid.volume(), 0.05 * solid.Area());
    EXPECT_GT(mesh->Volume(), 0.9 * solid.volume());
    ASSERT_EQ(mesh->faces.size(), solid.faces().size());
    SolidMesh torn = *mesh;
    torn.faces.front().triangles.pop_back();
    EXPECT_FALSE(torn.IsWatertight());
  }
}

TEST(ModelStl, HoldsEveryTriangleWithItsNormalOutward) {
  const auto mesh = MeshOf(Plain().parts.front().solid);
  ASSERT_TRUE(mesh);
  const auto bytes = ToStl({*mesh}, "solid words");
  ASSERT_TRUE(bytes);
  EXPECT_NE(bytes->substr(0, 5), "solid");
  const std::uint32_t count = Number(*bytes, 80);
  ASSERT_EQ(count, mesh->TriangleCount());
  ASSERT_EQ(bytes->size(), 84 + 50U * count);
  double volume = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    std::array<Vec3, 4> v;
    for (std::size_t k = 0; k < 4; ++k) {
      for (std::size_t c = 0; c < 3; ++c) {
        v[k][static_cast<int>(c)] = Float(*bytes, 84 + 50 * i + 12 * k + 4 * c);
      }
    }
    ASSERT_GT((v[2] - v[1]).cross(v[3] - v[1]).dot(v[0]), 0.0);
    volume += v[1].dot(v[2].cross(v[3])) / 6.0;
  }
  EXPECT_NEAR(volume, mesh->Volume(), 1e-4 * mesh->Volume());
}

// ---- The process

TEST(ExchangeProcess, WritesTheSameStepAsHere) {
  const auto request = WriteStepRequest(Plain());
  ASSERT_TRUE(request);
  const auto answer = AskExchange(*request, "writing");
  ASSERT_TRUE(answer) << answer.error().message;
  EXPECT_TRUE(BinaryOf(answer->at("text")) == StepOf(Plain()));
}

TEST(ExchangeProcess, WhatItCannotDoIsASentence) {
  const auto unknown = AskExchange({{"do", "sing"}}, "singing");
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().message, "singing: the question is not known");
  const auto damaged = RunExchange(ExchangeProgram().value(), "\x01\x02", "asking");
  ASSERT_TRUE(damaged);
  EXPECT_EQ(ExchangeValue(*damaged).value().at("error"), "the question is damaged");
}

// A program that misbehaves, in the place of the exchange process.
std::string Misbehaving(const Scratch& folder, const std::string& script) {
  const std::string file = folder.Put("program", "#!/bin/sh\n" + script + "\n");
  fs::permissions(file, fs::perms::owner_all);
  return file;
}

TEST(ExchangeProcess, ACrashAHangAndAFloodAreEachOneSentence) {
  const Scratch folder;
  ExchangeLimits limits;
  limits.computing = 1;
  limits.clock = 20.0;
  limits.reply = 1 << 20;
  const std::map<std::string, std::string> scripts = {
      {"kill -SEGV $$", "ended in a crash of the geometry kernel (signal 11)"},
      {"exit 3", "failed in the geometry kernel (status 3)"},
      {"while :; do :; done", "took longer than 1 s of computing and was stopped"},
      {"exec cat /dev/zero", "gave more than 1 MiB and was stopped"},
      {"exit 0", "gave nothing"},
  };
  for (const auto& [script, sentence] : scripts) {
    const auto answer = RunExchange(Misbehaving(folder, script), "x", "reading it", limits);
    ASSERT_FALSE(answer) << script;
    EXPECT_EQ(answer.error().message, "reading it " + sentence) << script;
    EXPECT_EQ(answer.error().kind, ErrorKind::computed);
  }
  limits.clock = 0.3;
  const auto hanging =
      RunExchange(Misbehaving(folder, "exec sleep 100"), "x", "reading it", limits);
  ASSERT_FALSE(hanging);
  EXPECT_EQ(hanging.error().message, "reading it did not end within 0.3 s and was stopped");
  const auto absent = RunExchange((folder.path() + "/none"), "x", "reading it", limits);
  ASSERT_FALSE(absent);
  EXPECT_EQ(absent.error().message, "reading it could not be started");
}

// On a busy machine the clock runs on while the program waits for its turn.
TEST(ExchangeProcess, WaitingIsNotComputing) {
  const Scratch folder;
  ExchangeLimits limits;
  limits.computing = 1;
  const auto answer =
      RunExchange(Misbehaving(folder, "sleep 2.5; echo done"), "x", "reading it", limits);
  ASSERT_TRUE(answer) << answer.error().message;
  EXPECT_EQ(*answer, "done\n");
}

}  // namespace
}  // namespace holeward
