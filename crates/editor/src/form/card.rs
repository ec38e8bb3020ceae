//! The form of the job itself: title data and what holds for the whole of it.

use std::sync::Arc;

use engine::document::{Card, Document, Settings, settings};
use engine::given::Given;
use engine::quantity::by_hand;

use super::part::{value, value_field};
use super::{Field, free_text};

/// The fields of the title data.
pub fn card_fields(card: &Card) -> Vec<Field> {
    vec![
        Field::text("title", "Title", &card.title),
        Field::text("customer", "Customer", &card.customer),
        Field::text("vehicle", "Vehicle", &card.vehicle),
        Field::text("number", "Job number", &card.number),
        Field::text("revision", "Revision", &card.revision),
        Field::text("owner", "Workshop", &card.owner),
        Field::text("drawn_by", "Drawn by", &card.drawn_by),
        Field::text("approved_by", "Approved by", &card.approved_by),
        Field::text("date", "Date", &card.date),
    ]
}

/// The title data after `text` was entered into the field `name`; why not, when it is refused.
pub fn changed_card(card: &Card, name: &str, text: &str) -> Result<Card, String> {
    let mut changed = card.clone();
    let field = match name {
        "title" => &mut changed.title,
        "customer" => &mut changed.customer,
        "vehicle" => &mut changed.vehicle,
        "number" => &mut changed.number,
        "revision" => &mut changed.revision,
        "owner" => &mut changed.owner,
        "drawn_by" => &mut changed.drawn_by,
        "approved_by" => &mut changed.approved_by,
        "date" => &mut changed.date,
        _ => return Err(format!("a job has no “{name}”")),
    };
    *field = free_text(text)?;
    Ok(changed)
}

/// The fields of what holds for the whole job.
pub fn settings_fields(document: &Document) -> Vec<Field> {
    let choices = ["12", "24"].map(|volts| (volts.to_owned(), format!("{volts} V"))).into();
    let nominal = document.settings.nominal_v.to_string();
    let mut fields = vec![Field::choice("nominal_v", "System voltage", choices, nominal)];
    let settings = &document.settings;
    fields.extend(settings::ALL.iter().map(|setting| {
        let field = value_field(&document.network, None, &settings.said, &setting.spec, settings.nominal_v);
        Field { note: by_hand(settings.source(setting)), ..field }
    }));
    fields
}

/// The settings after `text` was entered into the field `name`; why not, when it is refused.
pub fn changed_settings(settings: &Arc<Settings>, name: &str, text: &str) -> Result<Settings, String> {
    let mut changed = (**settings).clone();
    match (name, text) {
        ("nominal_v", "12") => changed.nominal_v = 12.0,
        ("nominal_v", "24") => changed.nominal_v = 24.0,
        ("nominal_v", _) => return Err(format!("“{text}” is none of the choices")),
        (name, text) => {
            let setting = settings::by_name(name).ok_or_else(|| format!("a job has no “{name}”"))?;
            let said = value(&setting.spec, text, "", settings.nominal_v)?;
            if matches!(said, Given::Between(..)) {
                return Err("a setting is one number, not a range".to_owned());
            }
            changed.said.set(setting.spec.name, said);
        }
    }
    Ok(changed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_entered_is_shown() {
        let document = Document::default();
        for field in card_fields(&document.card) {
            let changed = changed_card(&document.card, field.name, " Night work ").unwrap();
            let shown = card_fields(&changed).into_iter().find(|other| other.name == field.name).unwrap();
            assert_eq!(shown.text, "Night work");
        }
        let settings = changed_settings(&document.settings, "nominal_v", "24").unwrap();
        assert_eq!(settings.nominal_v, 24.0);
        assert!(changed_settings(&document.settings, "nominal_v", "13").is_err());
    }

    #[test]
    fn every_setting_is_asked_for_with_its_source() {
        let document = Document::default();
        let fields = settings_fields(&document);
        assert_eq!(fields.len(), 1 + settings::ALL.len());
        assert!(fields[1..].iter().all(|field| !field.note.is_empty()));
        let changed = changed_settings(&document.settings, "drop_look_percent", "3").unwrap();
        assert_eq!(changed.number(&settings::DROP_LOOK), 3.0);
        assert!(changed_settings(&document.settings, "drop_look_percent", "3 to 5").is_err());
        assert!(changed_settings(&document.settings, "drop_look_percent", "99").is_err());
    }
}
