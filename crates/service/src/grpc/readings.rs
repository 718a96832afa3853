//! What is understood of recipe lines.

use tamis_wire::v1;
use tamis_wire::v1::reading_service_server::ReadingService;
use tonic::{Request, Response, Status};

use super::{Services, answer};
use crate::bridge;

#[tonic::async_trait]
impl ReadingService for Services {
    async fn read_lines(
        &self,
        request: Request<v1::ReadLinesRequest>,
    ) -> Result<Response<v1::ReadLinesResponse>, Status> {
        answer(&self.0, request, |app, message| bridge::read(app, &message)).await
    }
}
