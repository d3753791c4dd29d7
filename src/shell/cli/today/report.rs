//! A day for machines.

use serde_json::{Value, json};

use crate::pure::adjust::{Dose, DosedPart};
use crate::pure::block::Work;
use crate::pure::caution::Caution;
use crate::pure::load::{DayNumbers, TrainingDone};
use crate::pure::readiness::{Guard, Readiness};
use crate::pure::today::{SessionToday, Today};

/// The machine form of a day.
pub fn as_json(day: &Today) -> Value {
    let mut reasons = day.reasons.clone();
    reasons.extend(day.move_back.map(|move_back| move_back.sentence()));
    json!({
        "date": day.date.to_string(),
        "day": day.kind.id(),
        "recorded": day.recorded,
        "readiness": readiness_json(&day.readiness),
        "session": day.sessions.first().map(session_json),
        "sessions": day.sessions.iter().map(session_json).collect::<Vec<_>>(),
        "done": day.done.iter().map(done_json).collect::<Vec<_>>(),
        "load": load_json(&day.load),
        "cautions": day.cautions.iter().map(caution_json).collect::<Vec<_>>(),
        "reasons": reasons,
        "kept": day.kept,
        "move_back_days": day.move_back.map(|_| 7),
    })
}

fn readiness_json(readiness: &Readiness) -> Value {
    let score = &readiness.score;
    let items: Vec<Value> = score
        .items
        .iter()
        .map(|part| {
            json!({
                "name": part.item.id(),
                "value": part.value,
                "usual": part.usual,
                "weight": part.weight,
                "part": part.part,
            })
        })
        .collect();
    let guards: Vec<&str> = readiness.guards.iter().copied().map(Guard::id).collect();
    json!({
        "score": score.score,
        "deviation": score.deviation,
        "spread": score.spread,
        "score_band": score.score_band.id(),
        "capped": score.capped,
        "guards": guards,
        "band": readiness.band.id(),
        "items": items,
        "earlier_mornings": score.earlier_mornings,
    })
}

fn session_json(session: &SessionToday) -> Value {
    let suggestion = &session.suggestion;
    json!({
        "planned": dose_json(&session.planned, &[]),
        "suggested": suggestion.session.as_ref().map(|dose| dose_json(dose, &suggestion.changes)),
        "as_planned": suggestion.as_planned,
    })
}

fn dose_json(dose: &Dose, changes: &[String]) -> Value {
    let regions: Vec<&str> = dose.regions.iter().map(|region| region.id()).collect();
    json!({
        "id": dose.id,
        "title": dose.title,
        "rpe": dose.rpe,
        "minutes": dose.minutes,
        "load": dose.load(),
        "parts": dose.parts.iter().map(part_json).collect::<Vec<_>>(),
        "regions": regions,
        "changes": changes,
    })
}

fn part_json(part: &DosedPart) -> Value {
    let mut json = match &part.work {
        Work::Intervals {
            rounds,
            work_s,
            rest_s,
            moves,
        } => json!({ "rounds": rounds, "work": work_s, "rest": rest_s, "moves": moves }),
        Work::TimedRounds {
            minutes,
            moves,
            reps,
        } => json!({ "minutes": minutes, "reps": reps, "moves": moves }),
        Work::Sets {
            sets,
            reps,
            moves,
            rest_s,
        } => json!({ "sets": sets, "reps": reps, "rest": rest_s, "moves": moves }),
        Work::Steady { minutes } => json!({ "minutes": minutes }),
    };
    json["kind"] = json!(part.work.kind());
    json["title"] = json!(part.title);
    json["seconds"] = json!(part.work.seconds());
    json["rpe_cap"] = json!(part.rpe_cap);
    json["reps_in_reserve"] = json!(part.reps_in_reserve);
    json
}

fn done_json(done: &TrainingDone) -> Value {
    json!({
        "session": done.session,
        "minutes": done.minutes,
        "rpe": done.rpe,
        "load": done.load(),
    })
}

fn load_json(load: &DayNumbers) -> Value {
    json!({
        "day": load.day,
        "week": load.week,
        "known_days": load.known_days,
        "mean_7": load.mean_7,
        "mean_28": load.mean_28,
        "monotony": load.monotony,
        "strain": load.strain,
        "change_from_usual": load.change.map(|change| change.fraction),
    })
}

fn caution_json(caution: &Caution) -> Value {
    let regions: Vec<&str> = caution.regions.iter().map(|region| region.id()).collect();
    json!({
        "level": caution.level.id(),
        "sign": caution.sign.map(|sign| sign.id()),
        "text": caution.text,
        "regions": regions,
    })
}
