//! The ticket that a cook reads.

use tamis_wire::v1;
use tamis_wire::v1::ticket_service_server::TicketService;
use tonic::{Request, Response, Status};

use super::{Services, answer};
use crate::bridge;

#[tonic::async_trait]
impl TicketService for Services {
    async fn render_ticket(
        &self,
        request: Request<v1::RenderTicketRequest>,
    ) -> Result<Response<v1::RenderTicketResponse>, Status> {
        answer(&self.0, request, bridge::ticket).await
    }
}
