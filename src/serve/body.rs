//! What goes out behind the headers of an answer, piece by piece: bytes that are there, a file as it is read, or news of
//! changes for as long as somebody listens.

use super::answer;
use super::guests::Turn;
use super::reload::Changes;
use futures::stream::{self, Stream, StreamExt};
use hyper::body::{Body, Bytes, Frame, SizeHint};
use std::fs::File;
use std::io::{self, Read};
use std::pin::Pin;
use std::task::{Context, Poll, ready};

/// So much of a file is in memory at a time.
const PIECE: u64 = 64 << 10;

type Pieces = Pin<Box<dyn Stream<Item = io::Result<Bytes>> + Send>>;

/// The body of an answer; the turn is over when it is dropped.
pub(super) struct Outgoing {
    pieces: Pieces,
    /// How much is still to come, where that is known.
    left: Option<u64>,
    _turn: Turn,
}

impl Outgoing {
    pub fn of(body: answer::Body, turn: Turn) -> Outgoing {
        let (pieces, length): (Pieces, u64) = match body {
            answer::Body::Bytes(bytes) => {
                let length = bytes.len() as u64;
                (stream::iter([Ok(Bytes::from(bytes))]).boxed(), length)
            }
            answer::Body::File(file, length) => (in_pieces(file, length).boxed(), length),
        };
        Outgoing { pieces, left: Some(length), _turn: turn }
    }

    pub fn changes(changes: &Changes, turn: Turn) -> Outgoing {
        Outgoing {
            pieces: changes.follow().map(|news| Ok(Bytes::from(news))).boxed(),
            left: None,
            _turn: turn,
        }
    }
}

impl Body for Outgoing {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        let piece = ready!(self.pieces.as_mut().poll_next(cx));
        if let (Some(Ok(bytes)), Some(left)) = (&piece, &mut self.left) {
            *left = left.saturating_sub(bytes.len() as u64);
        }
        Poll::Ready(piece.map(|piece| piece.map(Frame::data)))
    }

    fn is_end_stream(&self) -> bool {
        self.left == Some(0)
    }

    fn size_hint(&self) -> SizeHint {
        self.left.map_or_else(SizeHint::default, SizeHint::with_exact)
    }
}

/// A file of which so much was promised; what comes to it later is not sent.
fn in_pieces(file: File, length: u64) -> impl Stream<Item = io::Result<Bytes>> + Send {
    stream::try_unfold((file, length), |(file, left)| async move {
        if left == 0 {
            return Ok(None);
        }
        let read = tokio::task::spawn_blocking(move || read_piece(file, left)).await;
        let (file, piece) = read.map_err(io::Error::other)??;
        let left = left.saturating_sub(piece.len() as u64);
        Ok(Some((Bytes::from(piece), (file, left))))
    })
}

fn read_piece(file: File, left: u64) -> io::Result<(File, Vec<u8>)> {
    let mut piece = Vec::new();
    let mut reading = file.take(PIECE.min(left));
    match reading.read_to_end(&mut piece)? {
        // It is shorter by now than was promised.
        0 => Err(io::ErrorKind::UnexpectedEof.into()),
        _ => Ok((reading.into_inner(), piece)),
    }
}
