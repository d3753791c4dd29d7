//! Playing a track through a program that stands in for a player.

use evenfall::shell::guide::sound::Player;

use super::{evening, evening_samples, read_wav, shown};

#[test]
fn without_a_player_there_is_silence_and_with_one_it_gets_the_track() {
    let folder = tempfile::tempdir().expect("folder");
    assert_eq!(Player::find_in(folder.path().as_os_str()), None);
    let copy = folder.path().join("heard.wav");
    shown::program(
        &folder.path().join("paplay"),
        &format!("cp \"$1\" {:?}\nsleep 30\n", copy),
    );
    let player = Player::find_in(folder.path().as_os_str()).expect("player");
    let evening = evening();
    let mut playing = player.play(&evening, 10_500).expect("playing");
    shown::eventually("the player to be given the track", || {
        std::fs::metadata(&copy).is_ok_and(|m| m.len() == 44 + (evening.total_ms - 10_500) * 96)
    });
    assert!(playing.sounding() && !playing.failed());
    drop(playing);
    assert_eq!(read_wav(&copy), evening_samples()[10_500 * 48..]);
}

#[test]
fn a_player_that_gives_up_is_noticed() {
    let folder = tempfile::tempdir().expect("folder");
    shown::program(&folder.path().join("aplay"), "exit 1\n");
    let player = Player::find_in(folder.path().as_os_str()).expect("player");
    let mut playing = player.play(&evening(), 0).expect("playing");
    shown::eventually("the player to fail", || playing.failed());
}
