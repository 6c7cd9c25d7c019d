#include "viewer/window/reading_panel.h"

#include <QComboBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>
#include <algorithm>

namespace holeward {

ReadingPanel::ReadingPanel(QWidget* parent)
    : QWidget(parent),
      ground_(new QComboBox(this)),
      places_{new QComboBox(this), new QComboBox(this)},
      result_(new QLabel(this)) {
  ground_->setObjectName("reading part");
  ground_->setAccessibleName("The part that is read on");
  auto* form = new QFormLayout;
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  form->addRow("on", ground_);
  const char* words[] = {"from", "to"};
  for (std::size_t i = 0; i < 2; ++i) {
    QComboBox* box = places_[i];
    box->setEditable(true);
    box->setInsertPolicy(QComboBox::NoInsert);
    box->setObjectName(QString("reading %1").arg(words[i]));
    box->setAccessibleName(QString("The place read %1").arg(words[i]));
    box->lineEdit()->setPlaceholderText(
        "a name; station and girth: 120 35; station and face: 120 rear");
    form->addRow(words[i], box);
    connect(box, qOverload<int>(&QComboBox::activated), this, [this](int) { Read(); });
    connect(box->lineEdit(), &QLineEdit::returnPressed, this, [this] { Read(); });
  }
  auto* read = new QPushButton("Rea&d", this);
  read->setObjectName("read");
  connect(read, &QPushButton::clicked, this, [this] { Read(); });
  result_->setObjectName("reading result");
  result_->setWordWrap(true);
  result_->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
  result_->setText(
      "Two places of one part: by name, by numbers, or clicked in the picture (Ctrl+R).");
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addLayout(form);
  layout->addWidget(read, 0, Qt::AlignLeft);
  layout->addWidget(result_);
  layout->addStretch(1);
  setFocusProxy(ground_);
  connect(ground_, qOverload<int>(&QComboBox::activated), this, [this](int) { OfferPlaces(); });
}

void ReadingPanel::Offer(const std::vector<ReadingGround>& grounds) {
  if (grounds == grounds_) return;
  const QString chosen = ground_->currentText();
  grounds_ = grounds;
  ground_->clear();
  for (const ReadingGround& one : grounds_) {
    ground_->addItem(QString("%1, %2").arg(one.part, one.side));
  }
  ground_->setCurrentIndex(std::max(0, ground_->findText(chosen)));
  OfferPlaces();
}

void ReadingPanel::OfferPlaces() {
  const int at = ground_->currentIndex();
  for (QComboBox* box : places_) {
    const QString written = box->currentText();
    box->clear();
    if (at >= 0) box->addItems(grounds_[static_cast<std::size_t>(at)].places);
    box->setCurrentIndex(-1);
    box->setEditText(written);
  }
}

void ReadingPanel::Read() {
  const int at = ground_->currentIndex();
  if (at < 0 || !on_read) return;
  const ReadingGround& ground = grounds_[static_cast<std::size_t>(at)];
  on_read(ground.side, ground.part, {places_[0]->currentText(), places_[1]->currentText()});
}

void ReadingPanel::ShowPlaces(const QString& side, const QString& part,
                              const std::array<QString, 2>& places) {
  const int at = ground_->findText(QString("%1, %2").arg(part, side));
  if (at >= 0 && at != ground_->currentIndex()) {
    ground_->setCurrentIndex(at);
    OfferPlaces();
  }
  for (std::size_t i = 0; i < 2; ++i) places_[i]->setEditText(places[i]);
}

void ReadingPanel::Prefer(const QString& side, const QString& part) {
  const bool written = std::any_of(places_.begin(), places_.end(), [](const QComboBox* box) {
    return !box->currentText().isEmpty();
  });
  if (!written) ShowPlaces(side, part, {});
}

void ReadingPanel::ShowResult(const QStringList& lines) { result_->setText(lines.join("\n")); }

}  // namespace holeward
