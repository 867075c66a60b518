//! Answers that wait until what they tell of is on disk.
//!
//! This room does not know what is told.

use crate::counter::answers::CounterError;
use crate::store::StoreError;
use std::sync::mpsc::SyncSender;

/// Where a caller waits for an answer that is given after the flush.
pub(crate) type Answer<T> = SyncSender<T>;

/// What waits for the flush; called with the error where it failed.
pub(crate) type Ack = Box<dyn FnOnce(Option<&str>) + Send>;

/// An answer that waits for the flush. Whoever asked may have gone meanwhile; that is no failure.
pub(crate) fn later<T, E>(answer: Answer<Result<T, E>>, value: Result<T, E>) -> Ack
where
    T: Send + 'static,
    E: From<CounterError> + Send + 'static,
{
    Box::new(move |failure| {
        let value = match failure {
            None => value,
            Some(why) => Err(CounterError::Store(why.to_owned()).into()),
        };
        answer.send(value).ok();
    })
}

/// Hands a store error to the one who asked, and on to the batch.
pub(crate) fn spoil<T, U>(
    done: Result<T, StoreError>,
    answer: &Answer<Result<U, CounterError>>,
) -> Result<T, StoreError> {
    if let Err(error) = &done {
        answer
            .send(Err(CounterError::Store(error.to_string())))
            .ok();
    }
    done
}
