//! Tests of the whole program: the border between the halves, the command line, the service.

mod agenda;
mod asked;
mod calendar;
mod commands;
mod compare_command;
mod comparison;
mod compose;
mod csv;
mod data;
mod diary_story;
mod doctor;
mod evenings_table;
mod exchange_command;
mod figures;
mod files;
mod guide;
mod hostile;
mod layers;
mod morning;
mod nights;
mod page;
mod regularity;
mod review;
mod routines;
mod science;
mod service;
mod share;
mod simulation;
mod sleep_schema;
mod soccermon;
mod sound;
#[allow(dead_code)] // part of it serves the benchmarks only
mod support;
mod today;
mod travel;
mod week_review;
