#include "export/pdf.h"

#include <charconv>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <string_view>
#include <type_traits>

#include <cairo-pdf.h>
#include <fmt/format.h>
#include <qpdf/qpdf-c.h>

#include "export/paint.h"

namespace holeward {
namespace {

constexpr double kPointsPerMm = 72.0 / 25.4;

cairo_status_t Collect(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

struct SurfaceDeleter {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextDeleter {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};

Result<std::string> PaintPages(const std::vector<Drawing>& pages, const PdfInfo& info) {
  std::string bytes;
  const std::unique_ptr<cairo_surface_t, SurfaceDeleter> surface(
      cairo_pdf_surface_create_for_stream(&Collect, &bytes, pages[0].width * kPointsPerMm,
                                          pages[0].height * kPointsPerMm));
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, info.title.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE,
                                 CreationDate(info.date).c_str());
  for (const Drawing& page : pages) {
    cairo_pdf_surface_set_size(surface.get(), page.width * kPointsPerMm,
                               page.height * kPointsPerMm);
    const std::unique_ptr<cairo_t, ContextDeleter> context(cairo_create(surface.get()));
    cairo_scale(context.get(), kPointsPerMm, kPointsPerMm);
    Paint(context.get(), page);
    cairo_show_page(context.get());
    const cairo_status_t status = cairo_status(context.get());
    if (status != CAIRO_STATUS_SUCCESS) {
      return Fail(ErrorKind::computed,
                  fmt::format("a page could not be drawn: {}", cairo_status_to_string(status)));
    }
  }
  // Write errors show only once the surface is finished.
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) {
    return Fail(ErrorKind::computed,
                fmt::format("the PDF could not be made: {}", cairo_status_to_string(status)));
  }
  return bytes;
}

struct QpdfDeleter {
  void operator()(qpdf_data pdf) const { qpdf_cleanup(&pdf); }
};

Result<std::string> QpdfFailed(qpdf_data pdf) {
  return Fail(
      ErrorKind::computed,
      fmt::format("the PDF could not be finished: {}",
                  qpdf_has_error(pdf) != 0 ? qpdf_get_error_full_text(pdf, qpdf_get_error(pdf))
                                           : "no reason was given"));
}

/// Asks for printing unscaled, and makes the file depend on nothing but its contents.
Result<std::string> Finish(const std::string& bytes) {
  const std::unique_ptr<std::remove_pointer_t<qpdf_data>, QpdfDeleter> owner(qpdf_init());
  qpdf_data pdf = owner.get();
  qpdf_silence_errors(pdf);
  qpdf_set_suppress_warnings(pdf, QPDF_TRUE);
  if ((qpdf_read_memory(pdf, "template", bytes.data(), bytes.size(), nullptr) & QPDF_ERRORS) != 0) {
    return QpdfFailed(pdf);
  }
  qpdf_oh_replace_key(pdf, qpdf_get_root(pdf), "/ViewerPreferences",
                      qpdf_oh_parse(pdf,
                                    "<< /PrintScaling /None /Enforce [ /PrintScaling ] "
                                    "/DisplayDocTitle true >>"));
  if ((qpdf_init_write_memory(pdf) & QPDF_ERRORS) != 0) return QpdfFailed(pdf);
  qpdf_set_minimum_pdf_version(pdf, "1.6");
  qpdf_set_deterministic_ID(pdf, QPDF_TRUE);
  if ((qpdf_write(pdf) & QPDF_ERRORS) != 0 || qpdf_has_error(pdf) != 0) return QpdfFailed(pdf);
  return std::string(reinterpret_cast<const char*>(qpdf_get_buffer(pdf)),
                     qpdf_get_buffer_length(pdf));
}

}  // namespace

std::string CreationDate(const std::string& date) {
  const char* epoch = std::getenv("SOURCE_DATE_EPOCH");
  if (epoch != nullptr) {
    const std::string_view text(epoch);
    long long seconds = 0;
    const auto [end, failure] = std::from_chars(text.data(), text.data() + text.size(), seconds);
    const std::time_t when = static_cast<std::time_t>(seconds);
    std::tm utc{};
    if (failure == std::errc{} && end == text.data() + text.size() && !text.empty() &&
        gmtime_r(&when, &utc) != nullptr) {
      return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1,
                         utc.tm_mday, utc.tm_hour, utc.tm_min, utc.tm_sec);
    }
  }
  return date + "T00:00:00Z";
}

Result<std::string> ToPdf(const std::vector<Drawing>& pages, const PdfInfo& info) {
  if (pages.empty()) return Fail(ErrorKind::computed, "there is no page to put into the PDF");
  for (const Drawing& page : pages) {
    if (!IsFinite(page)) {
      return Fail(ErrorKind::computed, "a page drawing holds a number that is not finite");
    }
  }
  Result<std::string> painted = PaintPages(pages, info);
  if (!painted) return painted;
  return Finish(*painted);
}

}  // namespace holeward
